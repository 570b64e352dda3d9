namespace NutrientLedger.Persistence.Hubs;

/// <summary>Work that a hub must get done. A hub whose work stands still gives no sign of life.</summary>
public interface IHubWork
{
    /// <summary>Why the work stands still, or null while it goes on or there is none.</summary>
    string? Standstill { get; }
}
