using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>
/// From a moment on so many animals bring a volume into a pit every day (24 hours). Measured inflow of the same kind
/// replaces it for the time of the measurement. The volume is in mL an animal and day. The deviation is that of the
/// whole day, in mL.
/// </summary>
public sealed record DailyInflowSet(
    string By,
    string PitId,
    InflowKind Kind,
    int Animals,
    long MillilitresPerAnimalDay,
    DateTimeOffset ValidFrom,
    StatedDeviation? Deviation
) : IDefinedEvent<DailyInflowSet>
{
    public static EventDefinition<DailyInflowSet> Definition { get; } =
        new("daily_inflow_set", new(EventRoute.HandRecord, "dailyInflow"))
        {
            Changes = EventChanges.Nothing,
            Subject = inflow => inflow.PitId,
        };
}
