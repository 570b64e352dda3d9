using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Journal.Spreading;

/// <summary>
/// From a moment on an applicator was set to a rate. If a field is named, it holds on that field only. Rate and
/// deviation are in mL per hectare. The rate must be known without the flow meter, from tank loads or from ground speed
/// and pump table. Only then is covered area × rate a measurement independent of the meter.
/// </summary>
public sealed record SpreadingRateSet(
    string By,
    string ApplicatorId,
    string? FieldId,
    long MillilitresPerHectare,
    DateTimeOffset ValidFrom,
    StatedDeviation? Deviation
) : IDefinedEvent<SpreadingRateSet>
{
    public static EventDefinition<SpreadingRateSet> Definition { get; } =
        new("spreading_rate_set", new(EventRoute.HandRecord, "setRate"))
        {
            Changes = EventChanges.Nothing,
            Subject = rate => rate.ApplicatorId,
        };
}
