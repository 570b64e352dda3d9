using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// Ground covered in the seasons that were asked for last. Asking again reads only tiles posted since, and partitions
/// that were switched. What was not asked for longest is forgotten when there are too many.
/// </summary>
internal sealed class CoverageCache
{
    private const int SeasonsMost = 64;

    private readonly Lock gate = new();
    private readonly Dictionary<(string FarmId, int Season), SeasonCoverage> known = [];
    private readonly LinkedList<(string FarmId, int Season)> lastAsked = [];

    /// <summary>
    /// Covered and overlapped cells of a field (of all without one) in a season (in all without one), as the farm was
    /// read in the same snapshot.
    /// </summary>
    public async Task<IReadOnlyList<CoverageRows>> ReadAsync(
        NpgsqlConnection connection,
        PostedFarm farm,
        string? fieldId,
        int? season,
        CancellationToken cancellationToken
    )
    {
        var rows = new List<CoverageRows>();
        foreach (var partitions in farm.Partitions.GroupBy(partition => partition.Key.Season))
            if (season is null || partitions.Key == season)
                rows.AddRange(
                    await ReadAsync(connection, farm, partitions.Key, partitions.ToDictionary(), cancellationToken)
                );
        return fieldId is null ? rows : rows.FindAll(row => row.FieldId == fieldId);
    }

    private async Task<IReadOnlyList<CoverageRows>> ReadAsync(
        NpgsqlConnection connection,
        PostedFarm farm,
        int season,
        Dictionary<Partition, int> partitions,
        CancellationToken cancellationToken
    )
    {
        var before = Known(farm.FarmId, season);
        // Another reader may have seen a newer ledger. This one is read by itself.
        if (before.Position > farm.Position)
            before = SeasonCoverage.Nothing;
        var coverage = before.IsOf(farm.Position, partitions)
            ? before
            : await before.NextAsync(connection, farm, partitions, cancellationToken);
        lock (gate)
            if (known.TryGetValue((farm.FarmId, season), out var newest) && newest.Position <= farm.Position)
                known[(farm.FarmId, season)] = coverage;
        return coverage.Rows;
    }

    private SeasonCoverage Known(string farmId, int season)
    {
        lock (gate)
        {
            lastAsked.Remove((farmId, season));
            lastAsked.AddLast((farmId, season));
            if (lastAsked.Count > SeasonsMost && lastAsked.First is { } longest)
            {
                known.Remove(longest.Value);
                lastAsked.RemoveFirst();
            }
            known.TryAdd((farmId, season), SeasonCoverage.Nothing);
            return known[(farmId, season)];
        }
    }
}
