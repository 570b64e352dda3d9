using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Verification;

/// <summary>
/// Holds the coverage tiles of a live ledger against those posted anew, one at a time: a farm's live tiles are never in memory together,
/// and of those posted anew only the stored form is, a fourteenth of a tile's cells.
/// </summary>
internal static class TileAudit
{
    public static async Task<int> CountAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            "select count(*)::int from ledger.tile where farm = $1 and generation = $2",
            current.FarmId,
            current.Generation
        );
        return (int)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    /// <summary>The places of tiles that differ; equal visits have equal bytes, so nothing need be opened.</summary>
    public static async Task<IReadOnlyList<TileKey>> DifferingAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        IReadOnlyDictionary<TileKey, StoredTile> rebuilt,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            "select field, season, tile_row, tile_column, visits from ledger.tile where farm = $1 and generation = $2",
            current.FarmId,
            current.Generation
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var live = new HashSet<TileKey>();
        var differing = new List<TileKey>();
        while (await rows.ReadAsync(cancellationToken))
        {
            var key = TileRows.Key(rows);
            live.Add(key);
            if (
                !rebuilt.TryGetValue(key, out var tile)
                || !rows.GetFieldValue<byte[]>(4).AsSpan().SequenceEqual(tile.Visits)
            )
                differing.Add(key);
        }
        return [.. differing, .. rebuilt.Keys.Where(key => !live.Contains(key))];
    }
}
