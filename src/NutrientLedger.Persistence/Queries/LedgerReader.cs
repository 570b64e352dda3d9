using System.Data;
using Npgsql;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.Rebuild;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// Answers queries about posted ledgers. Live ones are read from the tables. Earlier ones are posted again from the
/// journal.
/// </summary>
public sealed class LedgerReader
{
    private readonly NpgsqlDataSource source;
    private readonly JournalPosting posting;
    private readonly JournalReader journal;
    private readonly DeviceReader devices;
    private readonly CoverageCache coverage = new();

    internal LedgerReader(NpgsqlDataSource source, JournalPosting posting) =>
        (this.source, this.posting, journal, devices) = (source, posting, new(source), new(source));

    /// <summary>
    /// Lines and coverage of one season (all seasons if none is named), live or as of a journal position.
    /// </summary>
    public Task<LedgerView> ReadAsync(string farmId, int? season, long? asOf, CancellationToken cancellationToken) =>
        ReadAsync(farmId, fieldId: null, season, asOf, cancellationToken);

    /// <summary>
    /// The same with the coverage of one field alone (of all when none is named, or as of a position). Coverage is most
    /// of the cost of a read.
    /// </summary>
    public async Task<LedgerView> ReadAsync(
        string farmId,
        string? fieldId,
        int? season,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        if (asOf is not { } position)
            return await SnapshotAsync(
                async (connection, current) =>
                    current is null
                        ? new(0, new Dictionary<LineKey, LineAmounts>(), [])
                        : new LedgerView(
                            current.Position,
                            await LineRows.ReadAsync(connection, farmId, Range(season), cancellationToken),
                            await coverage.ReadAsync(connection, current, fieldId, season, cancellationToken)
                        )
                        {
                            IsBeingCorrected = current.IsBeingCorrected,
                            UnpostedBatches = current.UnpostedBatches,
                        },
                farmId,
                cancellationToken
            );
        return await AsOfAsync(farmId, season, position, progress: null, cancellationToken);
    }

    /// <summary>Lines and coverage as of a journal position. The caller can see how far the posting has come.</summary>
    public async Task<LedgerView> AsOfAsync(
        string farmId,
        int? season,
        long asOf,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    )
    {
        var (position, posted) = await PostAsync(
            farmId,
            PartitionSet.Of(Range(season)),
            asOf,
            true,
            progress,
            cancellationToken
        );
        return new(position, posted.Lines, posted.Coverage()) { UnpostedBatches = posted.Unposted.Count };
    }

    /// <summary>The lines alone, for queries without coverage. Coverage is most of the cost of a read.</summary>
    public Task<LedgerLines> LinesAsync(string farmId, int? season, long? asOf, CancellationToken cancellationToken) =>
        LinesAsync(farmId, Range(season), asOf, cancellationToken);

    /// <summary>The same of some seasons.</summary>
    public async Task<LedgerLines> LinesAsync(
        string farmId,
        SeasonRange seasons,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        if (asOf is not { } position)
            return await SnapshotAsync(
                async (connection, current) =>
                    current is null
                        ? new(0, new Dictionary<LineKey, LineAmounts>())
                        : new LedgerLines(
                            current.Position,
                            await LineRows.ReadAsync(connection, farmId, seasons, cancellationToken)
                        )
                        {
                            IsBeingCorrected = current.IsBeingCorrected,
                            UnpostedBatches = current.UnpostedBatches,
                        },
                farmId,
                cancellationToken
            );
        var (at, posted) = await PostAsync(
            farmId,
            PartitionSet.Of(seasons),
            position,
            false,
            progress: null,
            cancellationToken
        );
        return new(at, posted.Lines) { UnpostedBatches = posted.Unposted.Count };
    }

    /// <summary>The seasons with posted lines, in order.</summary>
    public Task<IReadOnlyList<int>> SeasonsAsync(string farmId, CancellationToken cancellationToken) =>
        SnapshotAsync<IReadOnlyList<int>>(
            async (connection, current) =>
                current is null ? [] : await LineRows.SeasonsAsync(connection, farmId, cancellationToken),
            farmId,
            cancellationToken
        );

    /// <summary>The level hours of a pit between two moments (all if left out), in order of time.</summary>
    public async Task<IReadOnlyList<(LevelKey Key, LevelHour Hour)>> LevelsAsync(
        string farmId,
        string pitId,
        DateTimeOffset? from,
        DateTimeOffset? to,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var (first, last) = (from?.ToUnixTimeSeconds(), to?.ToUnixTimeSeconds());
        if (asOf is { } position)
        {
            var levels = new PartitionSet([], levels: true);
            var (_, posted) = await PostAsync(farmId, levels, position, false, progress: null, cancellationToken);
            return InOrder(
                posted.Levels.Where(level =>
                    level.Key.PitId == pitId
                    && !(level.Key.HourStartSeconds < first)
                    && !(level.Key.HourStartSeconds > last)
                )
            );
        }
        return InOrder(
            await SnapshotAsync<IEnumerable<KeyValuePair<LevelKey, LevelHour>>>(
                async (connection, current) =>
                    current is null
                        ? []
                        : await LevelRows.ReadAsync(connection, current, pitId, first, last, cancellationToken),
                farmId,
                cancellationToken
            )
        );

        static IReadOnlyList<(LevelKey, LevelHour)> InOrder(IEnumerable<KeyValuePair<LevelKey, LevelHour>> levels) =>
            [.. levels.OrderBy(level => level.Key.HourStartSeconds).Select(level => (level.Key, level.Value))];
    }

    /// <summary>
    /// A farm's ledger as of a position, but none beyond what is posted, and that position. Transactions under way may
    /// still take the numbers above it, and the same query must always give the same answer.
    /// </summary>
    private async Task<(long Position, LedgerAddition Posted)> PostAsync(
        string farmId,
        PartitionSet only,
        long asOf,
        bool withCoverage,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    )
    {
        var position = Math.Min(asOf, await devices.PostedPositionAsync(cancellationToken));
        var configuration = await journal.ConfigurationAsync(farmId, position, cancellationToken);
        var order = new PostingOrder(farmId, configuration, only, 0, position) { WithCoverage = withCoverage };
        return (position, await posting.PostAsync(order, progress, cancellationToken));
    }

    private static SeasonRange Range(int? season) => season is { } one ? SeasonRange.Only(one) : SeasonRange.All;

    /// <summary>
    /// All of one answer is read from one snapshot. It is never half of one generation and half of the next.
    /// </summary>
    private async Task<T> SnapshotAsync<T>(
        Func<NpgsqlConnection, PostedFarm?, Task<T>> read,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var snapshot = await connection.BeginTransactionAsync(
            IsolationLevel.RepeatableRead,
            cancellationToken
        );
        var current = await PostedFarmRows.ReadAsync(connection, farmId, cancellationToken);
        // A correction that posting has not seen yet is one that is being posted, too.
        if (
            current is not null
            && await JournalReader.LastRebuildAsync(connection, farmId, cancellationToken) is var wanted
            && wanted > current.WantedPosition
        )
            current = current with { WantedPosition = wanted };
        var answer = await read(connection, current);
        await snapshot.CommitAsync(cancellationToken);
        return answer;
    }
}
