namespace NutrientLedger.Journal.Sampling;

/// <summary>A calibration was taken back: for every hour it is as if it had never been adopted.</summary>
public sealed record CalibrationWithdrawn(string CalibrationId, string By, string Reason) : IJournalEvent;
