namespace NutrientLedger.Ledger;

/// <summary>Which hour of which pit; the hour is its start (farm time) in Unix seconds.</summary>
public readonly record struct LevelKey(string PitId, long HourStartSeconds);

/// <summary>The liquid levels measured in one hour: first and last by time, lowest, highest, number and sum (mm).</summary>
public sealed record LevelHour(
    long FirstAtMilliseconds,
    int FirstMillimetres,
    long LastAtMilliseconds,
    int LastMillimetres,
    int LowestMillimetres,
    int HighestMillimetres,
    long Readings,
    long SumMillimetres
)
{
    /// <summary>The hour with the readings of another part of it.</summary>
    public LevelHour Merge(LevelHour other) => throw new NotImplementedException();
}
