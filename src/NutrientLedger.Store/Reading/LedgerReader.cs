using System.Data;
using Npgsql;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>The posted ledger of a farm as it stood when the journal had reached a position.</summary>
public sealed record LedgerView(
    long Position,
    IReadOnlyDictionary<LineKey, LineAmounts> Lines,
    IReadOnlyList<CoverageRows> Coverage
);

/// <summary>Answers questions about posted ledgers: live ones from the tables, earlier ones by posting the journal up to there again.</summary>
public sealed class LedgerReader(NpgsqlDataSource source)
{
    private readonly JournalRows journal = new(source);
    private readonly DeviceReader positions = new(source);

    /// <summary>Lines and coverage of one season (all seasons if none is named), live or as of a journal position.</summary>
    public async Task<LedgerView> ReadAsync(string farmId, int? season, long? asOf, CancellationToken cancellationToken)
    {
        if (asOf is not { } position)
            return await SnapshotAsync(
                async (connection, current) =>
                    new LedgerView(
                        current?.Position ?? 0,
                        current is null
                            ? []
                            : await LedgerRows.LinesAsync(connection, current, season, cancellationToken),
                        current is null
                            ? []
                            : await LedgerRows.CoverageAsync(connection, current, season, cancellationToken)
                    ),
                farmId,
                cancellationToken
            );
        position = await PostedAsync(position, cancellationToken);
        var book = await BookAsync(farmId, position, cancellationToken);
        bool IsWanted(int of) => season is null || of == season;
        return new(
            position,
            book.Lines.Where(line => IsWanted(line.Key.Season)).ToDictionary(),
            CoverageRows.Of(book.Tiles.Where(tile => IsWanted(tile.Key.Season)))
        );
    }

    /// <summary>The seasons with posted lines, in order.</summary>
    public Task<IReadOnlyList<int>> SeasonsAsync(string farmId, CancellationToken cancellationToken) =>
        SnapshotAsync<IReadOnlyList<int>>(
            async (connection, current) =>
                current is null ? [] : await LedgerRows.SeasonsAsync(connection, current, cancellationToken),
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
                    : await LedgerRows.TilesAsync(connection, current, fieldId, season, cancellationToken),
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
        var levels = asOf is { } position
            ? (await BookAsync(farmId, await PostedAsync(position, cancellationToken), cancellationToken)).Levels
            : await SnapshotAsync<IReadOnlyDictionary<LevelKey, LevelHour>>(
                async (connection, current) =>
                    current is null
                        ? new Dictionary<LevelKey, LevelHour>()
                        : await LedgerRows.LevelsAsync(connection, current, cancellationToken),
                farmId,
                cancellationToken
            );
        var (first, last) = (from?.ToUnixTimeSeconds() ?? long.MinValue, to?.ToUnixTimeSeconds() ?? long.MaxValue);
        return
        [
            .. levels
                .Where(level => level.Key.PitId == pitId)
                .Where(level => level.Key.HourStartSeconds >= first && level.Key.HourStartSeconds <= last)
                .OrderBy(level => level.Key.HourStartSeconds)
                .Select(level => (level.Key, level.Value)),
        ];
    }

    /// <summary>
    /// A position, but none beyond what is posted: numbers above may still be taken by entries whose transactions are under way,
    /// and the same question must always get the same answer.
    /// </summary>
    private async Task<long> PostedAsync(long position, CancellationToken cancellationToken) =>
        Math.Min(position, (await positions.PositionsAsync(cancellationToken)).Posted);

    private async Task<LedgerBook> BookAsync(string farmId, long asOf, CancellationToken cancellationToken) =>
        await journal.PostAllAsync(
            farmId,
            await journal.RegisterAsync(farmId, asOf, cancellationToken),
            asOf,
            cancellationToken
        );

    /// <summary>All of one answer is read from one snapshot, so that it is never half of one generation and half of the next.</summary>
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
        var current = await LedgerRows.CurrentAsync(connection, farmId, cancellationToken);
        var answer = await read(connection, current);
        await snapshot.CommitAsync(cancellationToken);
        return answer;
    }
}
