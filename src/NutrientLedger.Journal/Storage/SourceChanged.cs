namespace NutrientLedger.Journal.Storage;

/// <summary>From a moment on an applicator is fed from this pit.</summary>
public sealed record SourceChanged(string ApplicatorId, string PitId, DateTimeOffset ValidFrom) : IJournalEvent;
