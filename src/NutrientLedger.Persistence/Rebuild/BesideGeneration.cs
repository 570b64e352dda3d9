using Npgsql;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// A rebuild of a farm's ledger into a shadow generation: rows that nobody reads yet. Everything is written on the
/// connection that holds the farm's lock. Without the lock nothing can be written any more. Memory is bounded: when
/// many tiles or lines are held, those that have rested are flushed.
/// </summary>
internal sealed class BesideGeneration : IAsyncDisposable
{
    private readonly CopiedPacks packs;
    private readonly int processors;
    private readonly PostingMemory memory;
    private readonly PieceRows rows;
    private readonly RightOfWay way;
    private bool switching;

    private BesideGeneration(
        NpgsqlDataSource source,
        RightOfWay way,
        NpgsqlConnection connection,
        CurrentGeneration live,
        FarmConfiguration configuration,
        long registerPosition,
        int processors,
        PostingMemory memory
    )
    {
        (this.processors, this.way, this.memory) = (processors, way, memory);
        (packs, Journal, Configuration) = (new(source, memory.ChunkBytes), new(source), configuration);
        (Connection, Live, ConfigurationPosition) = (connection, live, registerPosition);
        Generation = live.Generation + 1;
        rows = new(connection, live.FarmId, Generation, GiveWayAsync);
    }

    public NpgsqlConnection Connection { get; }

    public JournalReader Journal { get; }

    /// <summary>The configuration that the lines are made under.</summary>
    public FarmConfiguration Configuration { get; }

    /// <summary>The generation that was read when this began.</summary>
    public CurrentGeneration Live { get; }

    public int Generation { get; }

    public long ConfigurationPosition { get; }

    /// <summary>How many batches were posted.</summary>
    public long Packs { get; private set; }

    /// <summary>All batches up to here are posted.</summary>
    public long Position { get; private set; }

    /// <summary>
    /// Takes the farm's lock and deletes what an earlier attempt left. Null when somebody else has the lock or the farm
    /// has no ledger. The lines will be those of the newest configuration that is wanted, or else of the live lines'
    /// one. To be run on the threads named. Each of them posts a part.
    /// </summary>
    public static async Task<BesideGeneration?> BeginAsync(
        NpgsqlDataSource source,
        RightOfWay way,
        BesideThreads threads,
        string farmId,
        bool underWantedConfiguration,
        CancellationToken cancellationToken,
        PostingMemory? memory = null
    )
    {
        var connection = await source.OpenConnectionAsync(cancellationToken);
        try
        {
            // Rows that nobody reads need not be safe on disk yet. The switch makes them so with itself.
            await connection.ExecuteAsync("set synchronous_commit to off", cancellationToken);
            if (
                await connection.TryLockSessionAsync(AdvisoryLock.ShadowGeneration(farmId), cancellationToken)
                && await GenerationRows.CurrentAsync(connection, farmId, cancellationToken) is { } live
            )
            {
                var at = underWantedConfiguration ? live.WantedPosition : live.ConfigurationPosition;
                var configuration = await new JournalReader(source).ConfigurationAsync(farmId, at, cancellationToken);
                var beside = new BesideGeneration(
                    source,
                    way,
                    connection,
                    live,
                    configuration,
                    at,
                    threads.MaximumConcurrencyLevel,
                    memory ?? (underWantedConfiguration ? PostingMemory.BesideMessages : PostingMemory.Default)
                );
                await beside.DropAllButAsync(live.Generation, cancellationToken);
                return beside;
            }
        }
        catch
        {
            await GiveBackAsync(connection);
            throw;
        }
        await GiveBackAsync(connection);
        return null;
    }

    /// <summary>
    /// Lets messages go first, between two units of work. Not while the switch delays the farm's own.
    /// </summary>
    public ValueTask GiveWayAsync(CancellationToken cancellationToken) =>
        switching ? ValueTask.CompletedTask : way.GiveAsync(cancellationToken);

    /// <summary>Posts on to a position.</summary>
    public async Task PostAsync(long upTo, IProgress<PostingProgress>? progress, CancellationToken cancellationToken)
    {
        await PostAsync(
            BatchFilter.All(Live.FarmId, Position, upTo),
            only: null,
            cancellationToken,
            position => progress?.Report(new(Packs, position, upTo))
        );
        PostedUpTo(upTo);
        progress?.Report(new(Packs, upTo, upTo));
    }

    /// <summary>
    /// Posts batches, or only the affected part of them. As soon as much is held in memory, what has rested is flushed.
    /// Meanwhile the next batches are posted.
    /// </summary>
    public async Task PostAsync(
        BatchFilter choice,
        Touched? only,
        CancellationToken cancellationToken,
        Action<long>? reported = null
    )
    {
        var posting = new ParallelPosting(Configuration, only, processors, memory);
        var fromNothing = only is null && Position == 0;
        var (posted, writing) = (Task.CompletedTask, Task.CompletedTask);
        PackChunk? inWork = null;
        try
        {
            await foreach (var chunk in packs.ReadAsync(choice, cancellationToken))
            {
                var shares = posting.Share(chunk);
                await posted;
                inWork?.Dispose();
                inWork = chunk;
                if (posting.IsFull)
                {
                    await writing;
                    writing = rows.WriteAsync(posting.TakeRested(), fromNothing, cancellationToken);
                }
                posted = posting.PostAsync(shares, GiveWayAsync, cancellationToken);
                Packs += chunk.Packs.Count;
                reported?.Invoke(chunk.Packs[^1].Position);
            }
        }
        finally
        {
            await Task.WhenAll(posted, writing);
            inWork?.Dispose();
        }
        await rows.WriteAsync(posting.TakeAll(), fromNothing, cancellationToken);
    }

    /// <summary>Notes that the rows are those of all batches up to a position.</summary>
    public void PostedUpTo(long position) => Position = position;

    /// <summary>Deletes the farm's rows of every other generation.</summary>
    public Task DropAllButAsync(int generation, CancellationToken cancellationToken) =>
        RowCleanup.DropAllButAsync(Connection, Live.FarmId, generation, GiveWayAsync, cancellationToken);

    /// <summary>
    /// Makes this the generation that is read. It needs the live one to be the one it began with and no newer
    /// configuration to be wanted; else it returns false. One short transaction locks the farm's row, adds batches
    /// posted meanwhile, and switches the row.
    /// </summary>
    public async Task<bool> SwitchAsync(CancellationToken cancellationToken)
    {
        await using var transaction = await Connection.BeginTransactionAsync(cancellationToken);
        await Connection.ExecuteAsync("set local synchronous_commit to on", cancellationToken);
        await GenerationRows.LockAsync(Connection, Live.FarmId, cancellationToken);
        var now = await GenerationRows.CurrentAsync(Connection, Live.FarmId, cancellationToken);
        if (now?.Generation != Live.Generation || now.WantedPosition != Live.WantedPosition)
            return false;
        switching = true;
        try
        {
            await PostAsync(now.Position, progress: null, cancellationToken);
        }
        finally
        {
            switching = false;
        }
        await GenerationRows.SwitchAsync(Connection, Live.FarmId, Generation, ConfigurationPosition, cancellationToken);
        // If cancelled here, the server might have switched while this side takes the old generation for the live one.
        await transaction.CommitAsync(CancellationToken.None);
        return true;
    }

    public ValueTask DisposeAsync() => GiveBackAsync(Connection);

    /// <summary>
    /// The connection returns to the pool, so the lock has to be released explicitly. A broken one has lost it.
    /// </summary>
    private static async ValueTask GiveBackAsync(NpgsqlConnection connection)
    {
        if (connection.State == System.Data.ConnectionState.Open)
        {
            await connection.UnlockSessionAsync(CancellationToken.None);
            await connection.ExecuteAsync("reset synchronous_commit", CancellationToken.None);
        }
        await connection.DisposeAsync();
    }
}
