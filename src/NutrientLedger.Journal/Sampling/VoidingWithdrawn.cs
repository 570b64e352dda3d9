namespace NutrientLedger.Journal.Sampling;

/// <summary>A voiding was taken back for the reason given; its readings count again as if it had never been made.</summary>
public sealed record VoidingWithdrawn(string VoidingId, string Reason, string DecidedBy) : IEntry;
