namespace NutrientLedger.Persistence.Hubs;

/// <summary>Another hub has replaced this one, which may write nothing any more. Nothing was written.</summary>
public sealed class HubReplacedException()
    : Exception("another hub has replaced this one, because it gave no sign of life");
