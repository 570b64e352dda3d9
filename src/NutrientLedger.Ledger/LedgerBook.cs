using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger;

/// <summary>
/// Lines, coverage and level hours as they are being posted: a whole ledger in memory, or the addition that one batch of
/// entries makes to a stored one. Where only what is touched is posted, coverage that is not touched is left out; and all of it
/// where nobody asks for it.
/// </summary>
public sealed class LedgerBook(Touched? only = null, bool withCoverage = true)
{
    private Dictionary<LineKey, LineAmounts> lines = [];

    // Tiles visited since the last rest, those visited before it, and those put away, which take a fourteenth of the memory.
    private Dictionary<TileKey, CoverageTile> tiles = [];

    private Dictionary<TileKey, CoverageTile> resting = [];

    private Dictionary<TileKey, StoredTile> putAway = [];

    private Dictionary<LevelKey, LevelHour> levels = [];

    // The memory of tiles that were put away, to be used again; kept is what was held at once, so not more than that.
    private readonly Stack<CoverageTile> spare = [];

    // The postings of the senders that were met, under the register they were met with; nothing where nothing is posted.
    private readonly Dictionary<string, SpreadPosting?> senders = [];

    private Register? postedUnder;

    public IReadOnlyDictionary<LineKey, LineAmounts> Lines
    {
        get
        {
            foreach (var sender in senders.Values)
                sender?.Close();
            return lines;
        }
    }

    public IReadOnlyDictionary<TileKey, CoverageTile> Tiles
    {
        get
        {
            foreach (var key in resting.Keys.Concat(putAway.Keys).ToList())
                _ = Tile(key);
            return tiles;
        }
    }

    /// <summary>Covered and overlapped cells of each field and season; tiles that were put away stay so.</summary>
    public IReadOnlyList<CoverageRows> Coverage() =>
        CoverageRows.Of([
            .. tiles.Concat(resting).Select(tile => TileCounts.Of(tile.Key, tile.Value)),
            .. putAway.Select(tile => new TileCounts(tile.Key, tile.Value.Covered, tile.Value.Overlapped)),
        ]);

    /// <summary>How many tiles are held open; each takes 32 kB.</summary>
    public int TilesOpen => tiles.Count + resting.Count;

    /// <summary>How many bytes the tiles take that were put away.</summary>
    public long BytesPutAway { get; private set; }

    public IReadOnlyDictionary<LevelKey, LevelHour> Levels => levels;

    /// <summary>Posts one entry by the rules of DEVELOPERS.md "Posting, exactly"; rare entries and weather post nothing.</summary>
    public void Post(IEntry entry, DateTimeOffset recordedAt, Register register)
    {
        switch (entry)
        {
            case SpreadingMeasured measured:
                Post(measured.Pack, recordedAt, register);
                break;
            case StorageLevelMeasured measured:
                Post(measured.Pack, recordedAt, register);
                break;
            default:
                break;
        }
    }

    /// <summary>All of this book that a correction does not touch; the packs of what it does can be posted on top.</summary>
    public LedgerBook Untouched(Touched touched)
    {
        var left = new LedgerBook(touched, withCoverage);
        foreach (var (key, amounts) in Lines)
            if (!touched.Applicators.Contains(key.ApplicatorId))
                left.lines.Add(key, amounts);
        foreach (var (key, tile) in Tiles)
            if (!touched.Fields.Contains(key.FieldId))
                left.Tile(key).Merge(tile);
        if (!touched.Levels)
            foreach (var (key, hour) in levels)
                left.levels.Add(key, hour);
        return left;
    }

    /// <summary>Whether visits are noted; those that stand in copied tiles already are not.</summary>
    internal bool Covers(string applicatorId, string fieldId) =>
        withCoverage && (only?.Covers(applicatorId, fieldId) ?? true);

    /// <summary>Puts away the tiles that nobody visited since this was last done; whoever comes back to one opens it again.</summary>
    public void Rest()
    {
        foreach (var (key, tile) in resting)
        {
            var stored = StoredTile.Of(tile);
            putAway.Add(key, stored);
            BytesPutAway += stored.Bytes;
            spare.Push(tile);
        }
        resting.Clear();
        (resting, tiles) = (tiles, resting);
        foreach (var sender in senders.Values)
            sender?.LeaveTiles();
    }

    /// <summary>
    /// Takes out all lines and level hours, and the tiles that were put away: so a season can be posted with little in memory. What comes
    /// later is to be added to what was taken out.
    /// </summary>
    public LedgerPiece TakeRested()
    {
        var taken = new LedgerPiece(Lines, putAway, levels);
        (lines, putAway, levels, BytesPutAway) = ([], [], [], 0);
        return taken;
    }

    /// <summary>Takes out everything.</summary>
    public LedgerPiece TakeAll()
    {
        Rest();
        Rest();
        return TakeRested();
    }

    internal void Add(LineKey key, LineAmounts amounts) =>
        lines[key] = lines.TryGetValue(key, out var before) ? before + amounts : amounts;

    internal CoverageTile Tile(TileKey key)
    {
        if (!tiles.TryGetValue(key, out var tile))
            tiles[key] = tile = resting.Remove(key, out var before) ? before : Opened(key);
        return tile;
    }

    // Used memory is cleared only now, because then it lies in the processor's cache as it is visited.
    private CoverageTile Opened(TileKey key)
    {
        if (spare.TryPop(out var tile))
            tile.Clear();
        else
            tile = new();
        if (putAway.Remove(key, out var stored))
        {
            BytesPutAway -= stored.Bytes;
            CoverageTileForm.Decode(stored.Visits, tile);
        }
        return tile;
    }

    private void Add(LevelKey key, LevelHour hour) =>
        levels[key] = levels.TryGetValue(key, out var before) ? before.Merge(hour) : hour;

    private void Post(Pack<SpreadReading> pack, DateTimeOffset recordedAt, Register register)
    {
        if (postedUnder != register)
        {
            _ = Lines;
            senders.Clear();
            postedUnder = register;
        }
        if (!senders.TryGetValue(pack.EquipmentId, out var sender))
            senders[pack.EquipmentId] = sender = SpreadPosting.Of(this, register, pack.EquipmentId);
        sender?.Post(pack, recordedAt);
    }

    private void Post(Pack<LevelReading> pack, DateTimeOffset recordedAt, Register register)
    {
        if (register.Calendar is not { } calendar)
            return;
        var sound = Doubtful.SoundTimes(recordedAt, calendar);
        var decided = register.Decided(pack.EquipmentId, TelemetryStream.Store, pack.Boot);
        var seq = pack.FirstSeq;
        foreach (var reading in pack.Readings)
        {
            if (
                decided[seq++].Read(reading, sound) is { MeasuredAtMilliseconds: var at, LevelMillimetres: { } level }
                && register.PitMeasuredBy(pack.EquipmentId, at) is { } pitId
            )
                Add(new LevelKey(pitId, calendar.HourStartSeconds(at)), LevelHour.Of(at, level));
        }
    }
}
