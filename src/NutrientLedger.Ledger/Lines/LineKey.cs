namespace NutrientLedger.Ledger.Lines;

/// <summary>
/// What one ledger line is for. An empty field id means no field (outside all of them, not placed or unknown). An empty
/// pit or sensor id means that none was in force. The hour is its start in Unix seconds.
/// </summary>
public readonly record struct LineKey(
    string FieldId,
    int Season,
    long HourStartSeconds,
    string ApplicatorId,
    string PitId,
    string SensorId
);
