using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>Takes an SQL command with a ? for each of its values.</summary>
internal delegate void QueueSqlCommand(string sql, params object[] values);

/// <summary>The generation of a partition into which rows are written.</summary>
internal delegate int GenerationOf(int season, string applicatorId);

/// <summary>Writes a farm's posted rows as SQL commands, which somebody else runs.</summary>
internal sealed class LedgerWriter(QueueSqlCommand queue, string farmId)
{
    /// <summary>Adds lines and levels to what their generations hold.</summary>
    public void AddSums(LedgerAddition posted, GenerationOf generation, int levelGeneration)
    {
        LineRows.Add(queue, farmId, generation, posted.Lines);
        FlagRows.Add(queue, farmId, generation, posted.Lines);
        LevelRows.Add(queue, farmId, levelGeneration, posted.Levels);
    }

    /// <summary>Puts tiles, posted up to a position, in place of what their generations hold.</summary>
    public void PutTiles(
        IReadOnlyCollection<KeyValuePair<TileKey, byte[]>> tiles,
        GenerationOf generation,
        long position
    ) => TileRows.Put(queue, farmId, generation, tiles, position);
}
