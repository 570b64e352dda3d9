namespace NutrientLedger.Hub.Startup;

/// <summary>The hub cannot start for a reason that the user can fix; the message says how.</summary>
internal sealed class HubStartException(string message) : Exception(message);
