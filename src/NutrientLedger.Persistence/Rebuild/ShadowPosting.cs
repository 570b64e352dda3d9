using Npgsql;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// Some partitions of a farm, posted again beside those that are read, and the switch to them. One at a time for a
/// farm, over all hubs: a lock of its connection sees to that, and all its rows are written on that connection.
/// </summary>
internal sealed class ShadowPosting : IAsyncDisposable
{
    private readonly JournalPosting posting;
    private readonly ShadowRows rows;
    private readonly List<UnpostedBatch> unposted = [];

    private ShadowPosting(
        NpgsqlConnection connection,
        JournalPosting posting,
        PostedFarm live,
        FarmConfiguration configuration,
        long configurationPosition
    )
    {
        (Connection, this.posting, Live) = (connection, posting, live);
        (Configuration, ConfigurationPosition) = (configuration, configurationPosition);
        Generation = live.Generation + 1;
        rows = new(connection, live.FarmId, Generation);
    }

    public NpgsqlConnection Connection { get; }

    /// <summary>The ledger that was read when this began.</summary>
    public PostedFarm Live { get; }

    /// <summary>The configuration under which the partitions are posted.</summary>
    public FarmConfiguration Configuration { get; }

    public long ConfigurationPosition { get; }

    /// <summary>The generation of the rows written here.</summary>
    public int Generation { get; }

    /// <summary>What is posted.</summary>
    public PartitionSet Only { get; private set; } = PartitionSet.Everything;

    /// <summary>How many batches were read.</summary>
    public long Batches { get; private set; }

    /// <summary>The position up to which batches are posted.</summary>
    public long Position { get; private set; }

    /// <summary>
    /// Takes a farm's lock. Null when somebody else has it, or nothing of the farm is posted.
    /// </summary>
    /// <param name="source">The database.</param>
    /// <param name="posting">How batches are posted.</param>
    /// <param name="farmId">The farm.</param>
    /// <param name="underWantedConfiguration">
    /// Whether to post under the configuration that a correction waits for, or under that of the live ledger.
    /// </param>
    /// <param name="cancellationToken">Ends it.</param>
    public static async Task<ShadowPosting?> BeginAsync(
        NpgsqlDataSource source,
        JournalPosting posting,
        string farmId,
        bool underWantedConfiguration,
        CancellationToken cancellationToken
    )
    {
        var connection = await source.OpenConnectionAsync(cancellationToken);
        try
        {
            // Rows that nobody reads need not be safe on disk yet. The switch makes them so with itself.
            await connection.ExecuteAsync("set synchronous_commit to off", cancellationToken);
            if (
                await connection.TryLockSessionAsync(AdvisoryLock.ShadowGeneration(farmId), cancellationToken)
                && await PostedFarmRows.ReadAsync(connection, farmId, cancellationToken) is { } live
            )
            {
                if (live.HasShadowRows)
                    await LedgerTables.DropUnreadAsync(connection, farmId, cancellationToken);
                await PostedFarmRows.NoteShadowRowsAsync(connection, farmId, some: true, cancellationToken);
                var at = underWantedConfiguration ? live.WantedPosition : live.ConfigurationPosition;
                var configuration = await new JournalReader(source).ConfigurationAsync(farmId, at, cancellationToken);
                return new(connection, posting, live, configuration, at);
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

    /// <summary>Chooses what is posted, before anything is.</summary>
    public void Choose(PartitionSet only) => Only = only;

    /// <summary>Posts the batches up to a position that are not posted yet.</summary>
    public async Task PostAsync(long upTo, IProgress<PostingProgress>? progress, CancellationToken cancellationToken)
    {
        var (batches, failed) = await posting.PostAsync(
            new(Live.FarmId, Configuration, Only, Position, upTo),
            (parts, cancel) => rows.WriteAsync(parts, upTo, cancel),
            progress,
            cancellationToken
        );
        Batches += batches;
        unposted.AddRange(failed);
        Position = upTo;
        progress?.Report(new(Batches, upTo, upTo));
    }

    /// <summary>
    /// Posts what is left and switches all partitions in one transaction. It does not, and returns false, where the
    /// farm was switched or corrected meanwhile, or where more partitions must be posted than were.
    /// </summary>
    /// <param name="needed">What must be posted again as the ledger is now, asked for under the farm's lock.</param>
    /// <param name="cancellationToken">Ends it, until the switch is committed.</param>
    public async Task<bool> SwitchAsync(Func<Task<PartitionSet>> needed, CancellationToken cancellationToken)
    {
        await using var transaction = await Connection.BeginTransactionAsync(cancellationToken);
        await Connection.ExecuteAsync("set local synchronous_commit to on", cancellationToken);
        await PostedFarmRows.LockAsync(Connection, Live.FarmId, cancellationToken);
        var now = await PostedFarmRows.ReadAsync(Connection, Live.FarmId, cancellationToken);
        if (
            now is null
            || (now.Generation, now.WantedPosition) != (Live.Generation, Live.WantedPosition)
            || !Only.Holds(await needed())
        )
            return false;
        await PostAsync(now.Position, progress: null, cancellationToken);
        await PostedFarmRows.SwitchAsync(
            Connection,
            Live.FarmId,
            Generation,
            ConfigurationPosition,
            [.. now.Partitions.Keys.Where(Only.Holds).Union(rows.Partitions)],
            Only.Levels,
            cancellationToken
        );
        await UnpostedRows.ReplaceAsync(
            Connection,
            Live.FarmId,
            new BatchChoice(new(Live.FarmId, Configuration, Only, 0, now.Position)).PositionsSql(),
            unposted,
            cancellationToken
        );
        // If cancelled here, the server might have switched while this side takes the old generation for the live one.
        await transaction.CommitAsync(CancellationToken.None);
        return true;
    }

    /// <summary>Deletes the rows that nobody reads: the old ones after a switch, else those written here.</summary>
    public async Task DropUnreadAsync(CancellationToken cancellationToken)
    {
        var read = await PostedFarmRows.ReadAsync(Connection, Live.FarmId, cancellationToken) ?? Live;
        if (read.Generation == Generation)
            await LedgerTables.DropOthersAsync(
                Connection,
                Live.FarmId,
                Generation,
                [.. read.Partitions.Keys.Where(Only.Holds)],
                Only.Levels,
                cancellationToken
            );
        else
            await LedgerTables.DropUnreadAsync(Connection, Live.FarmId, cancellationToken);
        await PostedFarmRows.NoteShadowRowsAsync(Connection, Live.FarmId, some: false, cancellationToken);
    }

    public ValueTask DisposeAsync() => GiveBackAsync(Connection);

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
