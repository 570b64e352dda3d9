using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>
/// A level read by tape from the bank. The length of the wall and of its dry part are along the wall, in mm. The wall's
/// slope against level ground is in thousandths of a degree (90000 for an upright wall). The deviation is that of the
/// depth, in mm.
/// </summary>
public sealed record LevelTaped(
    string By,
    DateTimeOffset MeasuredAt,
    string PitId,
    int WallMillimetres,
    int FreeboardMillimetres,
    int SlopeMillidegrees,
    StatedDeviation? Deviation
) : IDefinedEvent<LevelTaped>
{
    public static EventDefinition<LevelTaped> Definition { get; } =
        new("level_taped", new(EventRoute.HandRecord, "tape"))
        {
            Changes = EventChanges.Nothing,
            Subject = taped => taped.PitId,
        };
}
