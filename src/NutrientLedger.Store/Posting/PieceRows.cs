using Npgsql;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>Writes pieces of a ledger one after another into a generation that nobody reads yet, and adds each to what is there.</summary>
internal sealed class PieceRows(
    NpgsqlConnection connection,
    string farmId,
    int generation,
    Func<CancellationToken, ValueTask> giveWay
)
{
    private readonly HashSet<TileKey> written = [];

    /// <summary>Where everything is posted from nothing, tiles that were not written here are new; else any may have been copied.</summary>
    public async Task WriteAsync(IEnumerable<LedgerPiece> pieces, bool fromNothing, CancellationToken cancellationToken)
    {
        foreach (var piece in pieces)
        {
            var again = piece
                .Tiles.Where(tile => !written.Add(tile.Key) || !fromNothing)
                .ToDictionary(tile => tile.Key, tile => CoverageTile.Decode(tile.Value.Visits));
            await giveWay(cancellationToken);
            await TileRows.MergeStoredAsync(connection, farmId, generation, again, cancellationToken);
            var tiles = piece.Tiles.ToDictionary();
            foreach (var (key, merged) in again)
                tiles[key] = StoredTile.Of(merged);
            await using var batch = new StatementBatch(connection);
            new LedgerWriter(batch.Queue, farmId).Add(piece with { Tiles = tiles }, generation);
            await batch.RunAsync(giveWay, cancellationToken);
        }
    }
}
