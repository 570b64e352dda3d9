using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Journal.Spreading;

/// <summary>
/// From a moment on the operator had set an applicator to a rate, on one field only if a field is named; mL per hectare, the
/// deviation too. It must be known without the flow meter, from tank loads or ground speed and pump table: only then does
/// covered area × rate bear witness beside the meter.
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
