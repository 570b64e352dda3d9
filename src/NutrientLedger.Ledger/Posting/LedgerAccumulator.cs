using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// Lines, coverage and level hours as they are being posted: a whole ledger in memory, some partitions of it, or what
/// one event batch adds to a stored one.
/// </summary>
/// <param name="only">The partitions to post; all by default.</param>
/// <param name="withCoverage">Whether covered ground is posted. It is left out where nobody needs it.</param>
public sealed class LedgerAccumulator(PartitionSet? only = null, bool withCoverage = true)
{
    private readonly PartitionSet only = only ?? PartitionSet.Everything;

    private Dictionary<LineKey, LineAmounts> lines = [];

    private readonly CoverageBook coverage = new();

    private Dictionary<LevelKey, LevelHour> levels = [];

    // Postings by device, cached for the current configuration. Null where nothing is posted.
    private readonly Dictionary<string, SpreadPosting?> postings = [];

    private FarmConfiguration? cachedConfiguration;

    public IReadOnlyDictionary<LineKey, LineAmounts> Lines
    {
        get
        {
            foreach (var posting in postings.Values)
                posting?.Close();
            return lines;
        }
    }

    public IReadOnlyCollection<TileKey> TileKeys => [.. coverage.Keys];

    /// <summary>How many tiles are not evicted.</summary>
    public int TilesOpen => coverage.TilesOpen;

    /// <summary>How many bytes are noted of visits to tiles that were visited since the last rest.</summary>
    public long BytesNoted => coverage.BytesNoted;

    /// <summary>How many bytes the evicted tiles take.</summary>
    public long BytesPutAway => coverage.BytesPutAway;

    public IReadOnlyDictionary<LevelKey, LevelHour> Levels => levels;

    /// <summary>
    /// Posts one event by the rules of this room's README, "Posting, exactly". Configuration events and weather post
    /// nothing.
    /// </summary>
    public void Post(IJournalEvent @event, DateTimeOffset recordedAt, FarmConfiguration configuration)
    {
        switch (@event)
        {
            case SpreadingMeasured measured:
                Post(measured.Batch, recordedAt, configuration);
                break;
            case StorageLevelMeasured measured:
                Post(measured.Batch, recordedAt, configuration);
                break;
            default:
                break;
        }
    }

    internal bool WithCoverage => withCoverage;

    /// <summary>Whether an applicator's work in a season is posted here.</summary>
    internal bool Posts(int season, string applicatorId) => only.Holds(season, applicatorId);

    /// <summary>Adds stored visits to a tile.</summary>
    public void Add(TileKey key, byte[] visits) => coverage.Of(key).Add(visits);

    /// <summary>Evicts the tiles without a visit since the last call. A later visit takes a tile up again.</summary>
    public void Rest()
    {
        coverage.Rest();
        foreach (var posting in postings.Values)
            posting?.LeaveTiles();
    }

    /// <summary>
    /// Takes out all lines and level hours, and the evicted tiles. A season can then be posted with little memory. What
    /// comes later is to be added to what was taken out.
    /// </summary>
    public LedgerAddition TakeRested()
    {
        var taken = new LedgerAddition(Lines, coverage.TakeRested(), levels);
        (lines, levels) = ([], []);
        return taken;
    }

    /// <summary>Takes out everything.</summary>
    public LedgerAddition TakeAll()
    {
        Rest();
        Rest();
        return TakeRested();
    }

    internal void Add(LineKey key, LineAmounts amounts) =>
        lines[key] = lines.TryGetValue(key, out var before) ? before + amounts : amounts;

    internal NotedVisits Visits(TileKey key) => coverage.Of(key);

    private void Add(LevelKey key, LevelHour hour) =>
        levels[key] = levels.TryGetValue(key, out var before) ? before.Merge(hour) : hour;

    private void Post(ReadingBatch<SpreadReading> batch, DateTimeOffset recordedAt, FarmConfiguration configuration)
    {
        if (cachedConfiguration != configuration)
        {
            _ = Lines;
            postings.Clear();
            cachedConfiguration = configuration;
        }
        if (!postings.TryGetValue(batch.EquipmentId, out var posting))
            postings[batch.EquipmentId] = posting = only.HoldsAny(batch.EquipmentId)
                ? SpreadPosting.Of(this, configuration, batch.EquipmentId)
                : null;
        posting?.Post(batch, recordedAt);
    }

    private void Post(ReadingBatch<LevelReading> batch, DateTimeOffset recordedAt, FarmConfiguration configuration)
    {
        if (!only.Levels || configuration.Calendar is not { } calendar)
            return;
        var sound = QuestionableTime.SoundTimes(recordedAt, calendar);
        var decided = configuration.Decided(batch.EquipmentId, TelemetryStream.Store, batch.Boot);
        var seq = batch.FirstSeq;
        foreach (var reading in batch.Readings)
        {
            if (
                decided[seq++].Read(reading, sound) is { MeasuredAtMilliseconds: var at, LevelMillimetres: { } level }
                && configuration.PitMeasuredBy(batch.EquipmentId, at) is { } pitId
            )
                Add(new LevelKey(pitId, calendar.HourStartSeconds(at)), LevelHour.Of(at, level));
        }
    }
}
