using Npgsql;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// What a rebuild posted and how it compares with the live ledger at the same position. A difference is a defect.
/// Differences hold at most the first twenty rows that differ.
/// </summary>
public sealed record RebuildReport(
    long Position,
    long ConfigurationPosition,
    long Batches,
    long Lines,
    long Tiles,
    long LevelHours,
    IReadOnlyList<string> Differences,
    bool Switched
);

/// <summary>The farm's ledger cannot be rebuilt just now. The message says why and what to do.</summary>
public sealed class RebuildUnavailableException(string message) : Exception(message);

/// <summary>
/// Rebuilds a farm's whole ledger from the journal into a shadow generation and compares it with the live one row by
/// row. The new one then replaces the live one or is deleted. Readers go on with the live one. A cancelled rebuild
/// leaves no rows behind.
/// </summary>
public sealed class LedgerRebuild
{
    private readonly NpgsqlDataSource source;
    private readonly JournalPosting posting;

    internal LedgerRebuild(NpgsqlDataSource source, JournalPosting posting) =>
        (this.source, this.posting) = (source, posting);

    public async Task<RebuildReport> RunAsync(
        string farmId,
        bool switchOver,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    )
    {
        await using var shadow =
            await ShadowPosting.BeginAsync(source, posting, farmId, underWantedConfiguration: false, cancellationToken)
            ?? throw new RebuildUnavailableException(
                $"{farmId} has no posted ledger yet, or a rebuild is already running. Try again in a moment."
            );
        try
        {
            if (shadow.Live.IsBeingCorrected)
                throw new RebuildUnavailableException(
                    $"A correction of {farmId} is not posted yet. Wait until a running hub has posted it, then rebuild."
                );
            await shadow.PostAsync(shadow.Live.Position, progress, cancellationToken);
            var report = await CompareAsync(shadow, cancellationToken);
            if (!switchOver)
                return report;
            if (!await shadow.SwitchAsync(() => Task.FromResult(PartitionSet.Everything), cancellationToken))
                throw new RebuildUnavailableException(
                    $"The configuration of {farmId} changed during the rebuild, so nothing was switched. Rebuild again."
                );
            return report with { Switched = true };
        }
        finally
        {
            if (shadow.Connection.State == System.Data.ConnectionState.Open)
                await shadow.DropUnreadAsync(CancellationToken.None);
        }
    }

    /// <summary>
    /// The newest position of a farm's journal at a moment. It is 0 when nothing was recorded by then.
    /// </summary>
    public async Task<long> PositionAtAsync(string farmId, DateTimeOffset moment, CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            "select coalesce(max(position), 0) from journal.event where farm = $1 and recorded_at <= $2",
            farmId,
            moment.ToUniversalTime()
        );
        return (long)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    /// <summary>
    /// In one snapshot the new rows are brought to exactly the position of the live ones. Then both are compared in the
    /// database.
    /// </summary>
    private static async Task<RebuildReport> CompareAsync(ShadowPosting shadow, CancellationToken cancellationToken)
    {
        await using var snapshot = await shadow.Connection.BeginTransactionAsync(
            System.Data.IsolationLevel.RepeatableRead,
            cancellationToken
        );
        var live = await PostedFarmRows.ReadAsync(shadow.Connection, shadow.Live.FarmId, cancellationToken);
        if (live?.Generation != shadow.Live.Generation)
            throw new RebuildUnavailableException(
                $"Someone else rebuilt the ledger of {shadow.Live.FarmId} meanwhile. Rebuild again."
            );
        await shadow.PostAsync(live.Position, progress: null, cancellationToken);
        var differences = new List<string>();
        var counts = new Dictionary<string, long>();
        foreach (var (table, columns) in LedgerTables.OfPartitions)
            await CompareAsync(table, columns, LedgerTables.ReadOf(table, columns, SeasonRange.All));
        await CompareAsync(
            "level",
            LedgerTables.LevelColumns,
            $"select {LedgerTables.LevelColumns} from ledger.level where farm = $1 and generation = {live.LevelGeneration}"
        );
        await snapshot.CommitAsync(cancellationToken);
        return new(
            live.Position,
            live.ConfigurationPosition,
            shadow.Batches,
            counts["line"],
            counts["tile"],
            counts["level"],
            [.. differences.Take(20)],
            Switched: false
        );

        async Task CompareAsync(string table, string columns, string read)
        {
            var rebuilt = $"select {columns} from ledger.{table} where farm = $1 and generation = $2";
            await using (var count = Command($"select count(*) from ({rebuilt}) as rebuilt"))
                counts[table] = (long)(await count.ExecuteScalarAsync(cancellationToken))!;
            await using var compare = Command(Differing(read, rebuilt));
            compare.CommandTimeout = 0;
            await using var rows = await compare.ExecuteReaderAsync(cancellationToken);
            while (await rows.ReadAsync(cancellationToken))
                differences.Add($"{table}, {rows.GetString(0)}: {rows.GetString(1)}");
        }

        NpgsqlCommand Command(string sql) => shadow.Connection.Command(sql, shadow.Live.FarmId, shadow.Generation);
    }

    private static string Differing(string live, string rebuilt) =>
        $"""
            select where_, left((row - 'visits')::text, 300) from (
                (select 'only live' as where_, to_jsonb(a) as row from ({live} except {rebuilt}) as a limit 20)
                union all (select 'only rebuilt', to_jsonb(b) from ({rebuilt} except {live}) as b limit 20)) as differing
            """;
}
