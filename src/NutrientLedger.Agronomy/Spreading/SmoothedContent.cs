namespace NutrientLedger.Agronomy.Spreading;

/// <summary>
/// How readings of one analyte are smoothed and how long they count. The time constant and the age limit of the last
/// reading are in seconds. Readings outside the range are ignored; it is in the sensor's unit and usually that of its
/// calibration. The rule is the farm's own choice; no source gives one.
/// </summary>
public sealed record SmoothingRule(
    double TimeConstantSeconds,
    double MaxAgeSeconds,
    double MinContent,
    double MaxContent
);

/// <summary>The result of offering a reading for smoothing.</summary>
public enum SmoothingResult
{
    Taken = 1,

    /// <summary>Outside the rule's range, or not a number.</summary>
    OutOfRange = 2,

    /// <summary>Not later than the last reading taken.</summary>
    OutOfOrder = 3,
}

/// <summary>
/// The smoothed content of one analyte. Each reading pulls it by 1 − e^(−Δt/τ), so any spacing of the same readings
/// tends to the same value. After a gap longer than the rule allows it starts again from the next reading.
/// </summary>
public readonly record struct SmoothedContent
{
    private readonly double content;
    private readonly double? atSeconds;

    private SmoothedContent(double content, double atSeconds) => (this.content, this.atSeconds) = (content, atSeconds);

    /// <summary>No reading yet.</summary>
    public static SmoothedContent None => default;

    /// <summary>Takes a reading, unless it cannot be used. Times are in seconds on any one clock.</summary>
    public (SmoothedContent Next, SmoothingResult Result) Take(SmoothingRule rule, double reading, double seconds)
    {
        if (!(reading >= rule.MinContent && reading <= rule.MaxContent))
            return (this, SmoothingResult.OutOfRange);
        if (seconds <= atSeconds)
            return (this, SmoothingResult.OutOfOrder);
        if (At(rule, seconds) is not { } before)
            return (new(reading, seconds), SmoothingResult.Taken);
        var pull = 1 - Math.Exp(-(seconds - atSeconds!.Value) / rule.TimeConstantSeconds);
        return (new(before + pull * (reading - before), seconds), SmoothingResult.Taken);
    }

    /// <summary>The content at a time; null before the first reading and when the last one is too old.</summary>
    public double? At(SmoothingRule rule, double seconds) =>
        atSeconds is { } last && seconds - last <= rule.MaxAgeSeconds ? content : null;
}
