using System.Collections.Immutable;
using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>One level of a pit: ms since 1970 (UTC), liquid depth in mm.</summary>
public readonly record struct LevelAt(long AtMilliseconds, int Millimetres);

/// <summary>
/// Levels without waves, foam and dropouts, and the outliers that were removed. An outlier lies further than three
/// robust standard deviations from the median of the fifteen levels around it (running median with Hampel's rule; R. K.
/// Pearson, IEEE Trans. Control Systems Technology 10, 2002, from memory). The others stay as measured.
/// </summary>
public sealed record CleanedLevels(ImmutableArray<LevelAt> Kept, ImmutableArray<LevelAt> Outliers)
{
    /// <summary>The number of levels to each side that form the window around one.</summary>
    public const int ToEachSide = 7;

    private const double Limit = 3;

    /// <summary>
    /// In mm, the last digit of a level sensor. On a calm surface its resolution must not look like an outlier (common
    /// practice, no source).
    /// </summary>
    public const double MinDeviationMillimetres = 2;

    /// <summary>Half a day: no level is known further than this from any reading.</summary>
    private const long ReachMilliseconds = 43_200_000;

    /// <summary>Half an hour: the window of readings that are averaged around a moment.</summary>
    private const long MeanMilliseconds = 1_800_000;

    public static CleanedLevels Of(IEnumerable<LevelAt> readings)
    {
        LevelAt[] inOrder = [.. InOrder(readings)];
        // A handful of readings cannot show what is usual among them; then all are kept.
        if (inOrder.Length <= ToEachSide)
            return new([.. inOrder], []);
        var far = RunningMedian
            .Outliers(
                Array.ConvertAll(inOrder, level => (double)level.Millimetres),
                ToEachSide,
                Limit,
                _ => MinDeviationMillimetres
            )
            .Select(outlier => outlier.Place)
            .ToHashSet();
        var levels = inOrder.Index().ToLookup(level => far.Contains(level.Index), level => level.Item);
        return new([.. levels[false]], [.. levels[true]]);
    }

    /// <summary>The same levels with no outlier removed, to show what the cleaning does.</summary>
    public CleanedLevels Uncleaned => new([.. InOrder(Kept.Concat(Outliers))], []);

    /// <summary>
    /// The level at a moment in mm. It is the mean of the readings in the half hour around it, if there are any.
    /// Otherwise it lies on the straight line between the nearest readings before and after, or is the nearest within
    /// half a day. Null when there is none.
    /// </summary>
    public double? MillimetresAt(long milliseconds)
    {
        var near = Kept.Where(level => Math.Abs(level.AtMilliseconds - milliseconds) <= MeanMilliseconds / 2).ToArray();
        if (near.Length > 0)
            return near.Average(level => level.Millimetres);
        var before = Kept.LastOrDefault(level => level.AtMilliseconds <= milliseconds);
        var after = Kept.FirstOrDefault(level => level.AtMilliseconds > milliseconds);
        var hasBefore = before != default && milliseconds - before.AtMilliseconds <= ReachMilliseconds;
        var hasAfter = after != default && after.AtMilliseconds - milliseconds <= ReachMilliseconds;
        return (hasBefore, hasAfter) switch
        {
            (true, true) => before.Millimetres
                + (after.Millimetres - before.Millimetres)
                    * ((double)(milliseconds - before.AtMilliseconds) / (after.AtMilliseconds - before.AtMilliseconds)),
            (true, false) => before.Millimetres,
            (false, true) => after.Millimetres,
            _ => null,
        };
    }

    // Two levels of one moment are ordered by level, not by arrival.
    private static IEnumerable<LevelAt> InOrder(IEnumerable<LevelAt> levels) =>
        levels.OrderBy(level => level.AtMilliseconds).ThenBy(level => level.Millimetres);
}
