using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>Writes what is posted into a generation that nobody reads yet.</summary>
internal sealed class ShadowRows(NpgsqlConnection connection, string farmId, int generation)
{
    private const int TilesAtOnce = 500;

    private readonly HashSet<TileKey> tiles = [];
    private readonly HashSet<Partition> partitions = [];

    /// <summary>The partitions that have rows.</summary>
    public IReadOnlySet<Partition> Partitions => partitions;

    /// <summary>Adds parts of what is posted up to a position.</summary>
    public async Task WriteAsync(LedgerAddition[] parts, long position, CancellationToken cancellationToken)
    {
        foreach (var part in parts)
        {
            partitions.UnionWith(part.Partitions);
            await RunAsync(writer => writer.AddSums(part, Generation, generation), cancellationToken);
            foreach (var some in part.Tiles.Chunk(TilesAtOnce))
            {
                var whole = await WithStoredAsync(some, cancellationToken);
                await RunAsync(writer => writer.PutTiles(whole, Generation, position), cancellationToken);
            }
        }
    }

    /// <summary>A tile that was written before has visits in the database already.</summary>
    private async Task<Dictionary<TileKey, byte[]>> WithStoredAsync(
        KeyValuePair<TileKey, byte[]>[] some,
        CancellationToken cancellationToken
    )
    {
        var whole = some.ToDictionary();
        TileKey[] again = [.. whole.Keys.Where(key => !tiles.Add(key))];
        if (again.Length == 0)
            return whole;
        await using var reads = new NpgsqlBatch(connection)
        {
            BatchCommands = { TileRows.ReadStored(farmId, again, Generation) },
        };
        await using var rows = await reads.ExecuteReaderAsync(cancellationToken);
        await TileRows.ReadStoredAsync(
            rows,
            (key, stored) => whole[key] = CoverageTile.Together(stored, whole[key]),
            cancellationToken
        );
        return whole;
    }

    private int Generation(int season, string applicatorId) => generation;

    private async Task RunAsync(Action<LedgerWriter> queue, CancellationToken cancellationToken)
    {
        await using var batch = new SqlCommandBatch(connection);
        queue(new(batch.Queue, farmId));
        await batch.ExecuteAsync(cancellationToken);
    }
}
