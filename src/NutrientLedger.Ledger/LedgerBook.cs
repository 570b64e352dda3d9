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
    private readonly Dictionary<LineKey, LineAmounts> lines = [];

    private readonly Dictionary<TileKey, CoverageTile> tiles = [];

    private readonly Dictionary<LevelKey, LevelHour> levels = [];

    public IReadOnlyDictionary<LineKey, LineAmounts> Lines => lines;

    public IReadOnlyDictionary<TileKey, CoverageTile> Tiles => tiles;

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
        foreach (var (key, amounts) in lines)
            if (!touched.Applicators.Contains(key.ApplicatorId))
                left.lines.Add(key, amounts);
        foreach (var (key, tile) in tiles)
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

    internal void Add(LineKey key, LineAmounts amounts) =>
        lines[key] = lines.TryGetValue(key, out var before) ? before + amounts : amounts;

    internal CoverageTile Tile(TileKey key)
    {
        if (!tiles.TryGetValue(key, out var tile))
            tiles[key] = tile = new();
        return tile;
    }

    private void Add(LevelKey key, LevelHour hour) =>
        levels[key] = levels.TryGetValue(key, out var before) ? before.Merge(hour) : hour;

    private void Post(Pack<SpreadReading> pack, DateTimeOffset recordedAt, Register register)
    {
        if (
            register is not { Farm: { } farm, Calendar: { } calendar }
            || register.Applicator(pack.EquipmentId) is not { } applicator
        )
            return;
        var sound = Doubtful.SoundTimes(recordedAt, calendar);
        var posting = new SpreadPosting(this, register.Contents, farm, calendar, applicator);
        var decided = register.Decided(pack.EquipmentId, TelemetryStream.Spread, pack.Boot);
        var seq = pack.Before is null ? pack.FirstSeq : pack.FirstSeq - 1;
        SpreadReading? last = null;
        var contentVoid = false;
        foreach (var reading in pack.WithNeighbours())
        {
            var decision = decided[seq++];
            var current = decision.Read(reading, sound);
            if (last is { } a && current is { } b)
                posting.Post(a, b, contentVoid);
            (last, contentVoid) = (current, decision.CompositionVoid);
        }
        posting.Close();
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
