namespace NutrientLedger.Ledger;

/// <summary>What was taken out of a book to be written: lines and level hours that add to what is there, and tiles that were visited.</summary>
public sealed record LedgerPiece(
    IReadOnlyDictionary<LineKey, LineAmounts> Lines,
    IReadOnlyDictionary<TileKey, StoredTile> Tiles,
    IReadOnlyDictionary<LevelKey, LevelHour> Levels
);
