namespace NutrientLedger.Ledger.Levels;

/// <summary>An hour of a pit. The hour is its start (farm time) in Unix seconds.</summary>
public readonly record struct LevelKey(string PitId, long HourStartSeconds);

/// <summary>
/// The liquid levels measured in one hour: first and last by time, lowest, highest, number and sum (mm).
/// </summary>
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
    /// <summary>The hour of one reading.</summary>
    public static LevelHour Of(long atMilliseconds, int millimetres) =>
        new(atMilliseconds, millimetres, atMilliseconds, millimetres, millimetres, millimetres, 1, millimetres);

    /// <summary>
    /// The hour with the readings of another part of it. Of readings at the same time the lower level is the first, the
    /// higher the last.
    /// </summary>
    public LevelHour Merge(LevelHour other)
    {
        var first = Earlier(
            (FirstAtMilliseconds, FirstMillimetres),
            (other.FirstAtMilliseconds, other.FirstMillimetres)
        );
        var last = Later((LastAtMilliseconds, LastMillimetres), (other.LastAtMilliseconds, other.LastMillimetres));
        return new(
            first.At,
            first.Level,
            last.At,
            last.Level,
            Math.Min(LowestMillimetres, other.LowestMillimetres),
            Math.Max(HighestMillimetres, other.HighestMillimetres),
            Readings + other.Readings,
            SumMillimetres + other.SumMillimetres
        );
    }

    private static (long At, int Level) Earlier((long At, int Level) one, (long At, int Level) other) =>
        one.CompareTo(other) <= 0 ? one : other;

    private static (long At, int Level) Later((long At, int Level) one, (long At, int Level) other) =>
        one.CompareTo(other) >= 0 ? one : other;
}
