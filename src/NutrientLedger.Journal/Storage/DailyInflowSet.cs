using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>
/// From a moment on so many animals bring so much into a pit every day (24 hours); measured inflow of the same kind replaces it
/// while it was measured. Volume in mL an animal and day; the deviation is that of the whole day, in mL.
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
