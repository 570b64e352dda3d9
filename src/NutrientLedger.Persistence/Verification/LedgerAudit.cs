using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Persistence.ReceivedRanges;
using NutrientLedger.Persistence.Seals;
using NutrientLedger.Persistence.Statements;

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

    /// <summary>The farm's newest seal, or null before the first one.</summary>
    public StoredSeal? NewestSeal { get; init; }
}

/// <summary>
/// Proves a farm's records. It walks every chain of the journal, posts the whole ledger in memory and compares it with
/// the live one to the last bit. All of it is read in one snapshot, beside a hub at work.
/// </summary>
public sealed class LedgerAudit
{
    private const int UnpostedShown = 100;

    private readonly NpgsqlDataSource source;
    private readonly JournalReader journal;
    private readonly JournalPosting posting;
    private readonly StatementBuilder statements;

    internal LedgerAudit(NpgsqlDataSource source, JournalPosting posting)
    {
        (this.source, this.posting, journal) = (source, posting, new(source));
        statements = new(source, posting, whole: true);
    }

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
        findings.AddRange(await FarmChainAudit.RunAsync(connection, farmId, cancellationToken));
        var isConfigured = await HasConfigurationAsync(connection, farmId, cancellationToken);
        if (!isConfigured)
            findings.Add("the farm's configuration is gone: no event of it is in the journal");
        findings.AddRange(await ReceivedRangeAudit.RunAsync(connection, farmId, cancellationToken));
        var newest = await SealAudit.RunAsync(connection, farmId, findings, cancellationToken);
        if (await PostedFarmRows.ReadAsync(connection, farmId, cancellationToken) is not { } farm)
            return new(chains.Events, chains.Streams, 0, 0, 0, findings) { NewestSeal = newest };
        var lines = await LineRows.ReadAsync(connection, farmId, SeasonRange.All, cancellationToken);
        var tiles = await TilesAsync(connection, farm, cancellationToken);
        var levels = await LevelRows.ReadAsync(connection, farm, null, null, null, cancellationToken);
        // A rebuild at work has such rows. Others would be added to by the next one.
        if (
            !farm.HasShadowRows
            && await LedgerTables.CountUnreadAsync(connection, farmId, cancellationToken) is > 0 and var unread
        )
            findings.Add($"the ledger has rows that are of no generation that is read: {unread}");
        findings.AddRange(
            (await UnpostedRows.ListAsync(connection, farmId, UnpostedShown, cancellationToken)).Select(row =>
                $"{row}. {UnpostedRows.WhatToDo}"
            )
        );
        var report = new AuditReport(chains.Events, chains.Streams, lines.Count, tiles.Count, levels.Count, findings)
        {
            NewestSeal = newest,
        };
        if (!chains.CanBePosted || !isConfigured)
            return report;

        var configuration = await journal.ConfigurationAsync(farmId, farm.ConfigurationPosition, cancellationToken);
        var posted = await posting.PostAsync(
            new(farmId, configuration, PartitionSet.Everything, 0, farm.Position),
            progress: null,
            cancellationToken
        );
        Compare("line", lines, posted.Lines, (live, rebuilt) => live == rebuilt, findings);
        Compare("tile", tiles, posted.Tiles, (live, rebuilt) => live.AsSpan().SequenceEqual(rebuilt), findings);
        Compare("level hour", levels, posted.Levels, (live, rebuilt) => live == rebuilt, findings);
        return report with
        {
            Statements = await StatementAudit.RunAsync(connection, statements, farmId, findings, cancellationToken),
        };
    }

    /// <summary>
    /// The farms of which anything is in the database, in order. One whose configuration is gone is among them.
    /// </summary>
    public Task<List<string>> FarmsAsync(CancellationToken cancellationToken) =>
        source
            .Command(
                $"""
                select farm from (
                    select farm from journal.stream where exists (
                        select 1 from journal.event where event.farm = stream.farm and event.stream = stream.stream)
                    union select distinct farm from {FarmChainRows.Table}
                    union select distinct farm from {BatchSpanRows.Table} union select distinct farm from {ReceivedRangeRows.Table}
                    union select farm from ledger.farm) as any_farm
                order by farm collate "C"
                """
            )
            .ListAsync(row => row.GetString(0), cancellationToken);

    private static async Task<bool> HasConfigurationAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var look = connection.Command(
            "select exists (select 1 from journal.event where farm = $1 and stream = $2)",
            farmId,
            JournalReader.ConfigurationStream
        );
        return await look.ExecuteScalarAsync(cancellationToken) is true;
    }

    private static async Task<Dictionary<TileKey, byte[]>> TilesAsync(
        NpgsqlConnection connection,
        PostedFarm farm,
        CancellationToken cancellationToken
    )
    {
        var tiles = new Dictionary<TileKey, byte[]>();
        await TileRows.ReadNewerAsync(
            connection,
            farm.FarmId,
            [.. farm.Partitions.Select(it => (it.Key, it.Value, -1L))],
            tiles.Add,
            cancellationToken
        );
        return tiles;
    }

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
