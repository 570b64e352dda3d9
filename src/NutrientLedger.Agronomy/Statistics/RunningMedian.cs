namespace NutrientLedger.Agronomy.Statistics;

/// <summary>
/// The median of the values around each value, and how far they usually lie from it: 1.4826 times the median absolute
/// deviation. For normal errors this is their standard deviation. Up to half of the values may be wrong before either
/// moves far. Sources: F. R. Hampel, J. American Statistical Association 69, 1974; as a running filter R. K. Pearson,
/// IEEE Trans. Control Systems Technology 10, 2002; both from memory. Windows are shorter at the ends.
/// </summary>
public static class RunningMedian
{
    // For normal errors the median absolute deviation is 1/1.4826 of the standard deviation.
    private const double DeviationPerMedian = 1.4826;

    /// <summary>
    /// Values further than so many deviations from the median of themselves and this many values to each side, in
    /// order. A deviation smaller than the smallest one, which may depend on the median, counts as that. Every value
    /// must be finite.
    /// </summary>
    public static IReadOnlyList<Outlier> Outliers(
        ReadOnlySpan<double> values,
        int toEachSide,
        double deviations,
        Func<double, double> deviationMin
    )
    {
        var window = new List<double>((2 * toEachSide) + 2);
        var outliers = new List<Outlier>();
        var (first, beyond) = (0, 0);
        for (var place = 0; place < values.Length; place++)
        {
            for (; beyond < Math.Min(values.Length, place + toEachSide + 1); beyond++)
                window.Insert(PlaceOf(window, values[beyond]), values[beyond]);
            for (; first < place - toEachSide; first++)
                window.RemoveAt(window.BinarySearch(values[first]));
            var median = Middle(window);
            var (distance, smallest) = (Math.Abs(values[place] - median), deviationMin(median));
            // Most values lie so near that the deviation need not be known.
            if (distance <= deviations * smallest)
                continue;
            var times = distance / Math.Max(DeviationPerMedian * MedianDistance(window, median), smallest);
            if (times > deviations)
                outliers.Add(new(place, median, times));
        }
        return outliers;
    }

    /// <summary>The median of values in any order; at least one.</summary>
    public static double Of(IEnumerable<double> values) => Middle([.. values.Order()]);

    private static int PlaceOf(List<double> sorted, double value) =>
        sorted.BinarySearch(value) is var found && found < 0 ? ~found : found;

    private static double Middle(List<double> sorted) =>
        sorted.Count % 2 == 1
            ? sorted[sorted.Count / 2]
            : (sorted[(sorted.Count / 2) - 1] + sorted[sorted.Count / 2]) / 2;

    /// <summary>The median of the distances from the middle. They grow to both sides of it.</summary>
    private static double MedianDistance(List<double> sorted, double middle)
    {
        var above = PlaceOf(sorted, middle);
        var distance = DistanceAt(sorted.Count / 2);
        return sorted.Count % 2 == 1 ? distance : (DistanceAt((sorted.Count / 2) - 1) + distance) / 2;

        // The distance at this place among all in order. Up to there some lie below the middle, the others above it.
        double DistanceAt(int place)
        {
            var (least, most) = (Math.Max(0, place + 1 - (sorted.Count - above)), Math.Min(place + 1, above));
            while (least < most)
            {
                var below = (least + most) / 2;
                if (Down(below) < Up(place - below))
                    least = below + 1;
                else
                    most = below;
            }
            return Math.Max(least > 0 ? Down(least - 1) : 0, least <= place ? Up(place - least) : 0);
        }

        double Down(int place) => middle - sorted[above - 1 - place];
        double Up(int place) => sorted[above + place] - middle;
    }
}
