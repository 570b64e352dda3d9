namespace NutrientLedger.Agronomy.Statistics;

/// <summary>
/// How values rise or fall. The slope is the median of the slopes between all pairs of points. The other value is how
/// many standard errors rises less falls lie from zero (Theil 1950; Sen, J. American Statistical Association 63, 1968;
/// Kendall's test with ties in the values; all from memory). The slope withstands a third of wrong points.
/// </summary>
public readonly record struct RobustTrend(double Slope, double StandardErrors)
{
    /// <summary>
    /// The trend of points in growing order of x, no two x equal; null with fewer than three. All pairs are used, so
    /// thin out long series.
    /// </summary>
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
        // One is subtracted from the count, because it moves in steps of two.
        var errors = variance <= 0 ? 0 : (rises - Math.Sign(rises)) / Math.Sqrt(variance);
        return new(RunningMedian.Of(slopes), errors);
    }
}
