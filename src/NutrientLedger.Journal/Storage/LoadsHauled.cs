using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>
/// Loads taken out of a pit that no meter counted: how many, what a full one holds, and the share filled (thousandths).
/// The field is left out when they went elsewhere. The deviation is that of all loads together, in mL.
/// </summary>
public sealed record LoadsHauled(
    string By,
    DateTimeOffset HauledAt,
    string PitId,
    string? ApplicatorId,
    string? FieldId,
    int Loads,
    long FillVolumeMillilitres,
    int ShareFilledThousandths,
    StatedDeviation? Deviation
) : IDefinedEvent<LoadsHauled>
{
    public static EventDefinition<LoadsHauled> Definition { get; } =
        new("loads_hauled", new(EventRoute.HandRecord, "loads"))
        {
            Changes = EventChanges.Nothing,
            Subject = loads => loads.PitId,
        };
}
