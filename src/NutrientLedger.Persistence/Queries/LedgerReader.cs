using System.Data;
using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// Answers queries about posted ledgers. Live ones are read from the tables. Earlier ones are posted again from the
/// journal.
/// </summary>
public sealed class LedgerReader(NpgsqlDataSource source, BesideThreads threads)
{
    private readonly JournalReader journal = new(source);
    private readonly DeviceReader devices = new(source);

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
                            await LineRows.ReadAsync(connection, current, season, cancellationToken),
                            await TileRows.CoverageAsync(connection, current, fieldId, season, cancellationToken)
                        )
                        {
                            IsBeingCorrected = current.IsBeingCorrected,
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
        var accumulator = new LedgerAccumulator();
        var posted = await PostAsync(accumulator, farmId, asOf, progress, cancellationToken);
        return new(
            posted,
            Of(season, accumulator.Lines),
            [.. accumulator.Coverage().Where(rows => season is null || rows.Season == season)]
        );
    }

    /// <summary>The lines alone, for queries without coverage. Coverage is most of the cost of a read.</summary>
    public async Task<LedgerLines> LinesAsync(
        string farmId,
        int? season,
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
                            await LineRows.ReadAsync(connection, current, season, cancellationToken)
                        )
                        {
                            IsBeingCorrected = current.IsBeingCorrected,
                        },
                farmId,
                cancellationToken
            );
        var accumulator = new LedgerAccumulator(withCoverage: false);
        var posted = await PostAsync(accumulator, farmId, position, progress: null, cancellationToken);
        return new(posted, Of(season, accumulator.Lines));
    }

    /// <summary>The seasons with posted lines, in order.</summary>
    public Task<IReadOnlyList<int>> SeasonsAsync(string farmId, CancellationToken cancellationToken) =>
        SnapshotAsync<IReadOnlyList<int>>(
            async (connection, current) =>
                current is null ? [] : await LineRows.SeasonsAsync(connection, current, cancellationToken),
            farmId,
            cancellationToken
        );

    /// <summary>The coverage tiles of one field and season.</summary>
    public Task<IReadOnlyDictionary<TileKey, CoverageTile>> TilesAsync(
        string farmId,
        string fieldId,
        int season,
        CancellationToken cancellationToken
    ) =>
        SnapshotAsync<IReadOnlyDictionary<TileKey, CoverageTile>>(
            async (connection, current) =>
                current is null
                    ? new Dictionary<TileKey, CoverageTile>()
                    : await TileRows.TilesAsync(connection, current, fieldId, season, cancellationToken),
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
            var accumulator = new LedgerAccumulator(withCoverage: false);
            await PostAsync(accumulator, farmId, position, progress: null, cancellationToken);
            return InOrder(
                accumulator.Levels.Where(level =>
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
    /// Rebuilds the ledger up to a position, but none beyond what is posted. Transactions under way may still take the
    /// numbers above it. The same query must always give the same answer. Returns the position.
    /// </summary>
    private async Task<long> PostAsync(
        LedgerAccumulator accumulator,
        string farmId,
        long asOf,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    )
    {
        var position = Math.Min(asOf, await devices.PostedPositionAsync(cancellationToken));
        var configuration = await journal.ConfigurationAsync(farmId, position, cancellationToken);
        await threads.RunAsync(
            () =>
                new JournalPosting(journal).PostAllAsync(
                    accumulator,
                    farmId,
                    configuration,
                    position,
                    progress,
                    cancellationToken
                ),
            cancellationToken
        );
        return position;
    }

    private static Dictionary<LineKey, LineAmounts> Of(int? season, IReadOnlyDictionary<LineKey, LineAmounts> lines) =>
        lines.Where(line => season is null || line.Key.Season == season).ToDictionary();

    /// <summary>
    /// All of one answer is read from one snapshot. It is never half of one generation and half of the next.
    /// </summary>
    private async Task<T> SnapshotAsync<T>(
        Func<NpgsqlConnection, CurrentGeneration?, Task<T>> read,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var snapshot = await connection.BeginTransactionAsync(
            IsolationLevel.RepeatableRead,
            cancellationToken
        );
        var current = await GenerationRows.CurrentAsync(connection, farmId, cancellationToken);
        var answer = await read(connection, current);
        await snapshot.CommitAsync(cancellationToken);
        return answer;
    }
}
