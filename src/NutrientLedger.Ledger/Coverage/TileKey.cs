namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// The place of a coverage tile: field, season and tile row and column (64 by 64 grid cells each, rounded down).
/// </summary>
public readonly record struct TilePlace(string FieldId, int Season, int TileRow, int TileColumn);

/// <summary>
/// What a coverage tile is about: the visits of one applicator to one place on one farm day. The day is known by the
/// Unix seconds of its 00:00 farm time.
/// </summary>
public readonly record struct TileKey(
    string FieldId,
    int Season,
    string ApplicatorId,
    long DayStartSeconds,
    int TileRow,
    int TileColumn
)
{
    public TilePlace Place => new(FieldId, Season, TileRow, TileColumn);
}
