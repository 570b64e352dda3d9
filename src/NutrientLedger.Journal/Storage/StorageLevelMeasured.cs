namespace NutrientLedger.Journal.Storage;

/// <summary>A level sensor measured the liquid in a pit.</summary>
public sealed record StorageLevelMeasured(ReadingBatch<LevelReading> Batch) : IJournalEvent;
