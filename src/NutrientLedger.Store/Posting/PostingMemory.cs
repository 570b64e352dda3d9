namespace NutrientLedger.Store;

/// <summary>
/// How much is held in memory while a season is posted anew, whatever its length: bytes of packs read at a time, coverage tiles open at
/// once (32 kB each), bytes of tiles put away, and lines. What is more is written, and added to later.
/// </summary>
public sealed record PostingMemory(int ChunkBytes, int TilesOpen, long PutAwayBytes, int Lines)
{
    public static readonly PostingMemory Usual = new(1 << 20, 800, 32 << 20, 20_000);

    /// <summary>Where messages of others arrive meanwhile, packs are read a few milliseconds' work at a time.</summary>
    public static readonly PostingMemory BesideMessages = Usual with { ChunkBytes = 256 << 10 };
}
