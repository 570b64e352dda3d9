using NutrientLedger.Journal;

namespace NutrientLedger.Ledger;

/// <summary>
/// Lines, coverage and level hours as they are being posted: a whole ledger in memory, or the addition that one batch of
/// entries makes to a stored one.
/// </summary>
public sealed class LedgerBook
{
    private readonly Dictionary<LineKey, LineAmounts> lines = [];

    private readonly Dictionary<TileKey, CoverageTile> tiles = [];

    private readonly Dictionary<LevelKey, LevelHour> levels = [];

    public IReadOnlyDictionary<LineKey, LineAmounts> Lines => lines;

    public IReadOnlyDictionary<TileKey, CoverageTile> Tiles => tiles;

    public IReadOnlyDictionary<LevelKey, LevelHour> Levels => levels;

    /// <summary>Posts one entry by the rules of DEVELOPERS.md "Posting, exactly"; rare entries post nothing.</summary>
    public void Post(IEntry entry, DateTimeOffset recordedAt, Register register) => throw new NotImplementedException();
}
