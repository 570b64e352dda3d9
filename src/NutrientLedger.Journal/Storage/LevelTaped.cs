using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>
/// A level read by tape from the bank: length of the wall and of its dry part along the wall, in mm, and the wall's slope
/// against level ground in thousandths of a degree (90000 for an upright wall). The deviation is that of the depth, in mm.
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
