using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Web.Wording;

/// <summary>Says what the samples of a sensor test, over how many days and at which level.</summary>
internal static class CheckWording
{
    private const double PercentOfOne = 100;

    /// <summary>Pairs, days and tests, in sentences.</summary>
    public static string Test(SensorCheck check)
    {
        var pairs = $"{Plural.Of(check.Pairs.Count, "pair")} on {Plural.Of(check.Days, "day")}";
        if (check.Offset is null || check.Comparison is null)
            return $"{pairs}: nothing is tested.";
        return check.Line is null
            ? $"{pairs}: the bias is tested at {Percent(check.BiasLevel)}."
            : $"{pairs}: bias and slope are tested at {Percent(check.BiasLevel)} each, {Percent(SensorCheck.Level)} together.";
    }

    /// <summary>Why so few days test nothing.</summary>
    public static string TooFewDays(SensorCheck check) =>
        $"Samples on {Plural.Of(check.Days, "day")}: a test needs {SensorCheck.DaysMin} days, because samples of one day share an error. Sample on other days.";

    /// <summary>How much of what would be corrected was read outside the range of the samples.</summary>
    public static string Outside(ReadingsOutside readings) =>
        $"{Percent(readings.Share)} of the volume to correct was read outside the sensor's range in the samples. Sample such manure too, or adopt for other hours.";

    /// <summary>What was compared, for whoever adopts it.</summary>
    public static string Reason(SensorCheck check)
    {
        var reports = string.Join(", ", check.Pairs.SelectMany(pair => pair.ReportIds));
        var what = check.ProposesSlope ? "Slope and intercept" : "Bias";
        return $"{what} of {Plural.Of(check.Pairs.Count, "sample")} on {Plural.Of(check.Days, "day")} against the laboratory, tested at {Percent(SensorCheck.Level)} ({reports}).";
    }

    /// <summary>A level, such as "2.5 %".</summary>
    public static string Percent(double share) => FormattableString.Invariant($"{share * PercentOfOne:0.#} %");
}
