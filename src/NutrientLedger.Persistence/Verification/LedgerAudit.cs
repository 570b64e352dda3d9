using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.Rebuild;

namespace NutrientLedger.Persistence.Verification;

/// <summary>
/// What an audit of one farm checked, and everything it found wrong. No findings mean that all is as it was written.
/// </summary>
public sealed record AuditReport(
    long Events,
    int Streams,
    int Lines,
    int Tiles,
    int LevelHours,
    IReadOnlyList<string> Findings
)
{
    /// <summary>Statements of corrections that were made again and compared.</summary>
    public int Statements { get; init; }

    /// <summary>
    /// The most coverage tiles of which visits were noted in memory at once. All others were evicted.
    /// </summary>
    public int TilesOpenAtOnce { get; init; }
}

/// <summary>
/// Proves a farm's records. It walks every chain of the journal, rebuilds the whole ledger in memory and compares it
/// with the live one to the last bit. All of it is read in one snapshot, beside a hub at work. Coverage tiles are
/// evicted as they rest and compared one by one. Memory then grows with the ground covered by their stored form alone.
/// </summary>
/// <param name="source">Where journal and ledger are read.</param>
/// <param name="notedBytes">
/// How many bytes are noted of visits before coverage tiles rest. See <see cref="PostingMemory"/>.
/// </param>
public sealed class LedgerAudit(NpgsqlDataSource source, long notedBytes)
{
    /// <summary>An audit with the default memory.</summary>
    public LedgerAudit(NpgsqlDataSource source)
        : this(source, PostingMemory.Default.NotedBytes) { }

    private readonly JournalReader journal = new(source);

    /// <summary>Audits one farm as it is posted.</summary>
    public async Task<AuditReport> RunAsync(string farmId, CancellationToken cancellationToken)
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var snapshot = await connection.BeginTransactionAsync(
            System.Data.IsolationLevel.RepeatableRead,
            cancellationToken
        );
        var chains = await ChainAudit.RunAsync(connection, farmId, cancellationToken);
        var findings = chains.Findings;
        if (await GenerationRows.CurrentAsync(connection, farmId, cancellationToken) is not { } current)
            return new(chains.Events, chains.Streams, 0, 0, 0, findings);
        var lines = await LineRows.ReadAsync(connection, current, season: null, cancellationToken);
        var tiles = await TileRows.CountAsync(connection, current, cancellationToken);
        var levels = await LevelRows.ReadAsync(connection, current, null, null, null, cancellationToken);
        var counts = await TileRows.CoverageAsync(connection, current, fieldId: null, season: null, cancellationToken);
        var report = new AuditReport(chains.Events, chains.Streams, lines.Count, tiles, levels.Count, findings);
        if (!chains.CanBePosted)
            return report;

        var configuration = await journal.ConfigurationAsync(farmId, current.ConfigurationPosition, cancellationToken);
        var accumulator = new LedgerAccumulator();
        var opened = await new JournalPosting(journal).PostAllAsync(
            accumulator,
            farmId,
            configuration,
            current.Position,
            progress: null,
            cancellationToken,
            notedBytes
        );
        var posted = accumulator.TakeAll();
        Compare("line", lines, posted.Lines, (live, rebuilt) => live == rebuilt, findings);
        foreach (var key in await TileAudit.DifferingAsync(connection, current, posted.Tiles, cancellationToken))
            findings.Add(Differs("tile", key));
        Compare("level hour", levels, posted.Levels, (live, rebuilt) => live == rebuilt, findings);
        Compare(
            "coverage of row",
            ByRow(counts),
            ByRow(CoverageRows.Of(posted.Tiles.Select(tile => TileCounts.Of(tile.Key, tile.Value)))),
            (live, rebuilt) => live == rebuilt,
            findings
        );
        var statements = await StatementAudit.RunAsync(connection, source, farmId, findings, cancellationToken);
        return report with { Statements = statements, TilesOpenAtOnce = opened };
    }

    private static Dictionary<(string FieldId, int Season, int Row), (int Covered, int Overlapped)> ByRow(
        IEnumerable<CoverageRows> coverage
    ) =>
        coverage
            .SelectMany(place =>
                place.Rows.Select(row => KeyValuePair.Create((place.FieldId, place.Season, row.Key), row.Value))
            )
            .ToDictionary();

    private static void Compare<TKey, TValue>(
        string what,
        IReadOnlyDictionary<TKey, TValue> live,
        IReadOnlyDictionary<TKey, TValue> rebuilt,
        Func<TValue, TValue, bool> same,
        List<string> findings
    )
        where TKey : notnull
    {
        foreach (var key in live.Keys.Union(rebuilt.Keys))
            if (!live.TryGetValue(key, out var l) || !rebuilt.TryGetValue(key, out var a) || !same(l, a))
                findings.Add(Differs(what, key));
    }

    private static string Differs<TKey>(string what, TKey key) =>
        $"{what} {key}: the live ledger differs from a rebuild from the journal";
}
