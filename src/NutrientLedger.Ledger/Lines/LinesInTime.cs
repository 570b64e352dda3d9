namespace NutrientLedger.Ledger.Lines;

/// <summary>Ledger lines chosen by their hour.</summary>
public static class LinesInTime
{
    /// <summary>The lines of hours that begin between two moments, both included. An open end has no limit.</summary>
    public static IEnumerable<KeyValuePair<LineKey, LineAmounts>> Between(
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        DateTimeOffset? from,
        DateTimeOffset? to
    ) =>
        lines.Where(line =>
            (from is null || line.Key.HourStartSeconds >= from.Value.ToUnixTimeSeconds())
            && (to is null || line.Key.HourStartSeconds <= to.Value.ToUnixTimeSeconds())
        );
}
