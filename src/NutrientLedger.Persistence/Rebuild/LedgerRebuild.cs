using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.Scheduling;

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
public sealed class LedgerRebuild(
    NpgsqlDataSource source,
    RightOfWay way,
    BesideThreads threads,
    PostingMemory? memory = null
)
{
    public Task<RebuildReport> RunAsync(
        string farmId,
        bool switchOver,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    ) => threads.RunAsync(() => PostAsync(farmId, switchOver, progress, cancellationToken), cancellationToken);

    private async Task<RebuildReport> PostAsync(
        string farmId,
        bool switchOver,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    )
    {
        await using var beside =
            await BesideGeneration.BeginAsync(
                source,
                way,
                threads,
                farmId,
                underWantedConfiguration: false,
                cancellationToken,
                memory
            )
            ?? throw new RebuildUnavailableException(
                $"{farmId} has no posted ledger yet, or a rebuild is already running. Try again in a moment."
            );
        var kept = beside.Live.Generation;
        try
        {
            if (beside.Live.IsBeingCorrected)
                throw new RebuildUnavailableException(
                    $"A correction of {farmId} is not posted yet. Wait until a running hub has posted it, then rebuild."
                );
            await beside.PostAsync(beside.Live.Position, progress, cancellationToken);
            var report = await CompareAsync(beside, cancellationToken);
            if (!switchOver)
                return report;
            // The farm's event batches wait meanwhile, so this does not run at idle priority.
            if (!await Task.Run(() => beside.SwitchAsync(cancellationToken), cancellationToken))
                throw new RebuildUnavailableException(
                    $"The configuration of {farmId} changed during the rebuild, so nothing was switched. Rebuild again."
                );
            kept = beside.Generation;
            return report with { Switched = true };
        }
        finally
        {
            if (beside.Connection.State == System.Data.ConnectionState.Open)
                await beside.DropAllButAsync(kept, CancellationToken.None);
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
    private static async Task<RebuildReport> CompareAsync(BesideGeneration beside, CancellationToken cancellationToken)
    {
        await using var snapshot = await beside.Connection.BeginTransactionAsync(
            System.Data.IsolationLevel.RepeatableRead,
            cancellationToken
        );
        var live = await GenerationRows.CurrentAsync(beside.Connection, beside.Live.FarmId, cancellationToken);
        if (live?.Generation != beside.Live.Generation)
            throw new RebuildUnavailableException(
                $"Someone else rebuilt the ledger of {beside.Live.FarmId} meanwhile. Rebuild again."
            );
        await beside.PostAsync(live.Position, progress: null, cancellationToken);
        var differences = new List<string>();
        var counts = new Dictionary<string, long>();
        foreach (var (table, columns) in LedgerTables.Tables)
        {
            await using (
                var count = Command(
                    $"select count(*) from ledger.{table} where farm = $1 and generation = $3 and $2 > 0"
                )
            )
                counts[table] = (long)(await count.ExecuteScalarAsync(cancellationToken))!;
            await using var compare = Command(Differing(table, columns));
            compare.CommandTimeout = 0;
            await using var rows = await compare.ExecuteReaderAsync(cancellationToken);
            while (await rows.ReadAsync(cancellationToken))
                differences.Add($"{table}, {rows.GetString(0)}: {rows.GetString(1)}");
        }
        await snapshot.CommitAsync(cancellationToken);
        return new(
            live.Position,
            live.ConfigurationPosition,
            beside.Packs,
            counts["line"],
            counts["tile"],
            counts["level"],
            [.. differences.Take(20)],
            Switched: false
        );

        NpgsqlCommand Command(string sql) =>
            beside.Connection.Command(sql, beside.Live.FarmId, beside.Live.Generation, beside.Generation);
    }

    private static string Differing(string table, string columns)
    {
        var live = $"select {columns} from ledger.{table} where farm = $1 and generation = $2";
        var rebuilt = $"select {columns} from ledger.{table} where farm = $1 and generation = $3";
        return $"""
            select where_, left((row - array['visits', 'covered', 'overlapped'])::text, 300) from (
                (select 'only live' as where_, to_jsonb(a) as row from ({live} except {rebuilt}) as a limit 20)
                union all (select 'only rebuilt', to_jsonb(b) from ({rebuilt} except {live}) as b limit 20)) as differing
            """;
    }
}
