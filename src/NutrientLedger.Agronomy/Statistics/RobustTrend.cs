namespace NutrientLedger.Agronomy.Statistics;

/// <summary>
/// How values rise or fall, by the median of the slopes between all pairs of points, and how many standard errors the count of
/// rises over falls lies from none (Theil 1950; Sen, J. American Statistical Association 63, 1968; Kendall's test with ties in the
/// values; all from memory). A third of wrong points does not turn the slope.
/// </summary>
public readonly record struct RobustTrend(double Slope, double StandardErrors)
{
    /// <summary>Of points in growing order of x, no two x alike; nothing with fewer than three. All pairs are taken, so thin out what is long.</summary>
    public static RobustTrend? Of(IReadOnlyList<(double X, double Y)> points)
    {
        if (points.Count < 3)
            return null;
        var slopes = new List<double>(points.Count * (points.Count - 1) / 2);
        var rises = 0L;
        for (var later = 1; later < points.Count; later++)
        for (var earlier = 0; earlier < later; earlier++)
        {
            rises += Math.Sign(points[later].Y - points[earlier].Y);
            slopes.Add((points[later].Y - points[earlier].Y) / (points[later].X - points[earlier].X));
        }
        double n = points.Count;
        var ties = points.GroupBy(point => point.Y).Select(same => (double)same.Count());
        var variance = ((n * (n - 1) * ((2 * n) + 5)) - ties.Sum(t => t * (t - 1) * ((2 * t) + 5))) / 18;
        // One is taken off the count, because it moves in steps of two.
        var errors = variance <= 0 ? 0 : (rises - Math.Sign(rises)) / Math.Sqrt(variance);
        return new(RunningMedian.Of(slopes), errors);
    }
}
