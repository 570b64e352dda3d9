namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// How far a posting from the journal has come: batches read, the journal position of the last, and the position where
/// it ends.
/// </summary>
public sealed record PostingProgress(long Batches, long Position, long LastPosition);
