using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// What was taken out of an accumulator to be written: lines and level hours that add to what is stored, and visited
/// tiles.
/// </summary>
public sealed record LedgerAddition(
    IReadOnlyDictionary<LineKey, LineAmounts> Lines,
    IReadOnlyDictionary<TileKey, StoredTile> Tiles,
    IReadOnlyDictionary<LevelKey, LevelHour> Levels
);
