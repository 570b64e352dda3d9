using System.Data;
using Npgsql;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// The newest level hour of a pit, the number of its hours, and in how many a level lay outside its shape.
/// </summary>
public sealed record PitLevelSummary(LevelKey NewestKey, LevelHour Newest, int Hours, int HoursOutsideShape);

/// <summary>
/// Reads of a pit's level hours what the list of pits shows. PostgreSQL counts the hours of all seasons. Only the
/// newest is read.
/// </summary>
public sealed class PitLevelReader(NpgsqlDataSource source)
{
    /// <summary>The summaries of pits by id. A pit without levels has none.</summary>
    public async Task<IReadOnlyDictionary<string, PitLevelSummary>> SummariesAsync(
        string farmId,
        IReadOnlyCollection<PitRegistered> pits,
        CancellationToken cancellationToken
    )
    {
        var summaries = new Dictionary<string, PitLevelSummary>();
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var snapshot = await connection.BeginTransactionAsync(
            IsolationLevel.RepeatableRead,
            cancellationToken
        );
        if (await PostedFarmRows.ReadAsync(connection, farmId, cancellationToken) is not { } farm)
            return summaries;
        var counted = await connection
            .Command(
                """
                select wanted.pit, max(hour), count(*)::int,
                    count(*) filter (where lowest_mm < 0 or highest_mm > depth_mm)::int
                from unnest($3, $4) as wanted (pit, depth_mm)
                join ledger.level on farm = $1 and generation = $2 and level.pit = wanted.pit
                group by wanted.pit
                """,
                farmId,
                farm.LevelGeneration,
                pits.Select(pit => pit.PitId).ToArray(),
                pits.Select(pit => pit.Shape.DepthMillimetres).ToArray()
            )
            .ListAsync(
                row =>
                    (PitId: row.GetString(0), Hour: row.GetInt64(1), Hours: row.GetInt32(2), Outside: row.GetInt32(3)),
                cancellationToken
            );
        foreach (var pit in counted)
        {
            var newest = await LevelRows.ReadAsync(connection, farm, pit.PitId, pit.Hour, pit.Hour, cancellationToken);
            var (key, hour) = newest.Single();
            summaries.Add(pit.PitId, new(key, hour, pit.Hours, pit.Outside));
        }
        return summaries;
    }
}
