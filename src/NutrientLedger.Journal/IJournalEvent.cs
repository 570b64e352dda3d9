namespace NutrientLedger.Journal;

/// <summary>Something that happened, as the journal keeps it for ever: measured or decided, never a running total.</summary>
public interface IJournalEvent;
