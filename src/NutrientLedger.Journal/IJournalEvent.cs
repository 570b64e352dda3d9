namespace NutrientLedger.Journal;

/// <summary>
/// Something that happened, kept in the journal for ever. It is measured or decided, never a running total.
/// </summary>
public interface IJournalEvent;
