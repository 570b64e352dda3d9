namespace NutrientLedger.Persistence.Rebuild;

/// <summary>How far a posting from the journal has come: packs read, and the journal position of the last, out of a last position.</summary>
public sealed record PostingProgress(long Batches, long Position, long LastPosition);
