namespace NutrientLedger.Journal.Readings;

/// <summary>A voiding was taken back for the reason given; its readings count again as if it had never been made.</summary>
public sealed record VoidWithdrawn(string VoidId, string Reason, string By) : IJournalEvent;
