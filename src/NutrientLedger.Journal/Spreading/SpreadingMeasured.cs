namespace NutrientLedger.Journal.Spreading;

/// <summary>An applicator measured what it was spreading.</summary>
public sealed record SpreadingMeasured(ReadingBatch<SpreadReading> Batch) : IJournalEvent;
