namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// How much is held in memory while a season is rebuilt, whatever its length. It limits the bytes of batches read at a
/// time and the bytes of evicted tiles. It limits the bytes noted of visits before tiles rest (at most twice as many
/// are held). It limits the lines. What is more is written, and added to later.
/// </summary>
internal sealed record PostingMemory(int ChunkBytes, long NotedBytes, long PutAwayBytes, int Lines)
{
    public static readonly PostingMemory Default = new(1 << 20, 16 << 20, 32 << 20, 20_000);
}
