using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>What flows into a pit besides rain.</summary>
public enum InflowKind
{
    /// <summary>Manure and bedding from the animals.</summary>
    Manure = 1,

    /// <summary>Water from washing parlour, yards and machines.</summary>
    WashWater = 2,
}

/// <summary>The inflow to a pit between two moments, by a meter. Volume and deviation are in mL.</summary>
public sealed record PitInflowMeasured(
    string By,
    string PitId,
    InflowKind Kind,
    DateTimeOffset From,
    DateTimeOffset Until,
    long VolumeMillilitres,
    StatedDeviation? Deviation
) : IDefinedEvent<PitInflowMeasured>
{
    public static EventDefinition<PitInflowMeasured> Definition { get; } =
        new("pit_inflow_measured", new(EventRoute.HandRecord, "inflow"))
        {
            Changes = EventChanges.Nothing,
            Subject = inflow => inflow.PitId,
        };
}
