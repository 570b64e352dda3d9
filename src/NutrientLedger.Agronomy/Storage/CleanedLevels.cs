using System.Collections.Immutable;
using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>One level of a pit: ms since 1970 (UTC), liquid depth in mm.</summary>
public readonly record struct LevelAt(long AtMilliseconds, int Millimetres);

/// <summary>
/// Levels without waves, foam and dropouts, and what that took: a level is set aside when it lies further than three robust
/// standard deviations from the median of the fifteen around it (running median with Hampel's rule; R. K. Pearson, IEEE Trans.
/// Control Systems Technology 10, 2002, from memory). The others stay as measured.
/// </summary>
public sealed record CleanedLevels(ImmutableArray<LevelAt> Kept, ImmutableArray<LevelAt> Outliers)
{
    /// <summary>So many levels to each side say what is usual around one.</summary>
    public const int ToEachSide = 7;

    private const double Limit = 3;

    /// <summary>A level sensor's last digit: a calm surface must not make its own resolution suspicious (common practice, no source).</summary>
    public const double MinDeviationMillimetres = 2;

    /// <summary>Further than half a day from any reading nobody knows a level.</summary>
    private const long ReachMilliseconds = 43_200_000;

    /// <summary>Around a moment so many milliseconds of readings are averaged: half an hour.</summary>
    private const long MeanMilliseconds = 1_800_000;

    public static CleanedLevels Of(IEnumerable<LevelAt> readings)
    {
        LevelAt[] inOrder = [.. InOrder(readings)];
        var (kept, outliers) = (ImmutableArray.CreateBuilder<LevelAt>(), ImmutableArray.CreateBuilder<LevelAt>());
        var around = RunningMedian.Around([.. inOrder.Select(level => (double)level.Millimetres)], ToEachSide);
        for (var place = 0; place < inOrder.Length; place++)
        {
            // A handful of readings cannot say what is usual among them; then all are kept.
            var far =
                inOrder.Length > ToEachSide
                && Math.Abs(inOrder[place].Millimetres - around[place].Median)
                    > Limit * Math.Max(around[place].Deviation, MinDeviationMillimetres);
            (far ? outliers : kept).Add(inOrder[place]);
        }
        return new(kept.ToImmutable(), outliers.ToImmutable());
    }

    /// <summary>The same levels with nothing set aside, to see what the setting aside does.</summary>
    public CleanedLevels Uncleaned => new([.. InOrder(Kept.Concat(Outliers))], []);

    /// <summary>
    /// The level at a moment in mm: the mean of half an hour of readings around it, else on the straight line between the nearest
    /// before and after, else the nearest within half a day; nothing when there is none.
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

    // Two levels of one moment come in an order of their own, not in that of their arrival.
    private static IEnumerable<LevelAt> InOrder(IEnumerable<LevelAt> levels) =>
        levels.OrderBy(level => level.AtMilliseconds).ThenBy(level => level.Millimetres);
}
