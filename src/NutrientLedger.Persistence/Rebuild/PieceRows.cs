using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// Writes pieces of a ledger one after another into a shadow generation. Each is added to what is there.
/// </summary>
internal sealed class PieceRows(
    NpgsqlConnection connection,
    string farmId,
    int generation,
    Func<CancellationToken, ValueTask> giveWay
)
{
    /// <summary>So many tiles are merged and written at a time. That is some milliseconds' work.</summary>
    private const int TilesAtOnce = 100;

    private readonly HashSet<TileKey> written = [];

    /// <summary>
    /// Where everything is posted from nothing, tiles that were not written here are new. Else any may have been
    /// copied.
    /// </summary>
    public async Task WriteAsync(
        IEnumerable<LedgerAddition> pieces,
        bool fromNothing,
        CancellationToken cancellationToken
    )
    {
        foreach (var piece in pieces)
        {
            await RunAsync(writer => writer.AddSums(piece, generation), cancellationToken);
            foreach (var some in piece.Tiles.Chunk(TilesAtOnce))
            {
                await giveWay(cancellationToken);
                var tiles = some.ToDictionary();
                var again = some.Where(tile => !written.Add(tile.Key) || !fromNothing)
                    .ToDictionary(tile => tile.Key, tile => CoverageTile.Decode(tile.Value.Visits));
                await TileRows.MergeStoredAsync(
                    connection,
                    farmId,
                    generation,
                    again.Keys,
                    (key, visits) => again[key].Add(visits),
                    cancellationToken
                );
                foreach (var (key, merged) in again)
                    tiles[key] = StoredTile.Of(merged);
                await RunAsync(writer => writer.PutTiles([.. tiles], generation), cancellationToken);
            }
        }
    }

    private async Task RunAsync(Action<LedgerWriter> queue, CancellationToken cancellationToken)
    {
        await using var batch = new SqlCommandBatch(connection);
        queue(new(batch.Queue, farmId));
        await batch.ExecuteAsync(giveWay, cancellationToken);
    }
}
