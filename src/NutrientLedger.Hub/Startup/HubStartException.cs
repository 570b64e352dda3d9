namespace NutrientLedger.Hub.Startup;

/// <summary>The hub cannot start for a reason that its user can mend; the message says how.</summary>
public sealed class HubStartException(string message) : Exception(message);
