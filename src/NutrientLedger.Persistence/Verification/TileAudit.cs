using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Verification;

/// <summary>
/// Compares the coverage tiles of a live ledger with rebuilt ones, one at a time. A farm's live tiles are never in
/// memory together. Of the rebuilt ones only the stored form is, a fourteenth of a tile's cells.
/// </summary>
internal static class TileAudit
{
    /// <summary>The keys of tiles that differ. Equal visits have equal bytes, so nothing need be decoded.</summary>
    public static async Task<IReadOnlyList<TileKey>> DifferingAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        IReadOnlyDictionary<TileKey, StoredTile> rebuilt,
        CancellationToken cancellationToken
    )
    {
        var live = new HashSet<TileKey>();
        var differing = new List<TileKey>();
        await TileRows.ForEachAsync(
            connection,
            current,
            (key, visits) =>
            {
                live.Add(key);
                if (!rebuilt.TryGetValue(key, out var tile) || !visits.AsSpan().SequenceEqual(tile.Visits))
                    differing.Add(key);
            },
            cancellationToken
        );
        return [.. differing, .. rebuilt.Keys.Where(key => !live.Contains(key))];
    }
}
