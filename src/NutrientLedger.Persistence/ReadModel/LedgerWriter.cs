using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>Takes an SQL command with ? for its values, to be run with others in one transaction.</summary>
internal delegate void QueueSqlCommand(string sql, params object[] values);

/// <summary>Queues the rows of a piece of ledger into a transaction, each kind as one set-based command.</summary>
internal sealed class LedgerWriter(QueueSqlCommand queue, string farmId)
{
    /// <summary>Adds the lines and level hours to those of a generation. Its tiles are replaced.</summary>
    public void Add(LedgerAddition piece, int generation)
    {
        AddSums(piece, generation);
        PutTiles([.. piece.Tiles], generation);
    }

    /// <summary>Adds the lines and level hours alone.</summary>
    public void AddSums(LedgerAddition piece, int generation)
    {
        LineRows.Add(queue, farmId, generation, piece.Lines);
        FlagRows.Add(queue, farmId, generation, piece.Lines);
        LevelRows.Add(queue, farmId, generation, piece.Levels);
    }

    /// <summary>Replaces tiles of a generation.</summary>
    public void PutTiles(KeyValuePair<TileKey, StoredTile>[] tiles, int generation) =>
        TileRows.Put(queue, farmId, generation, tiles);

    /// <summary>
    /// Moves the ledger on from the position where it was found. If somebody else has moved it or switched its
    /// generation meanwhile, the whole transaction fails. So it comes first: the farm stays locked until the rest is
    /// written.
    /// </summary>
    public void Advance(CurrentGeneration from, long to, long configurationPosition, long wantedPosition) =>
        queue(
            "select ledger.advance(?, ?, ?, ?, ?, ?)",
            farmId,
            from.Generation,
            from.Position,
            to,
            configurationPosition,
            wantedPosition
        );
}
