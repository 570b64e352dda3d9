namespace NutrientLedger.Agronomy.Spreading;

/// <summary>
/// How readings of one analyte are smoothed and for how long they count: the time constant in seconds, the age in seconds after
/// which the last reading says nothing any more, and the range outside which a reading is no reading (in the sensor's unit;
/// usually the range of its calibration). A farm's own choice; no source gives one.
/// </summary>
public sealed record SmoothingRule(
    double TimeConstantSeconds,
    double MaxAgeSeconds,
    double MinContent,
    double MaxContent
);

/// <summary>What became of a reading that was offered for smoothing.</summary>
public enum SmoothingResult
{
    Taken = 1,

    /// <summary>Outside the rule's range, or no number.</summary>
    OutOfRange = 2,

    /// <summary>Not later than the last one taken.</summary>
    OutOfOrder = 3,
}

/// <summary>
/// The smoothed content of one analyte: every reading pulls it by 1 − e^(−Δt/τ), so that the same readings at any spacing tend
/// to the same value. After a gap longer than the rule allows it starts anew instead of remembering.
/// </summary>
public readonly record struct SmoothedContent
{
    private readonly double content;
    private readonly double? atSeconds;

    private SmoothedContent(double content, double atSeconds) => (this.content, this.atSeconds) = (content, atSeconds);

    /// <summary>Nothing read yet.</summary>
    public static SmoothedContent None => default;

    /// <summary>Takes a reading at a time in seconds on any one clock, unless it cannot be used.</summary>
    public (SmoothedContent Next, SmoothingResult Fate) Take(SmoothingRule rule, double reading, double seconds)
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

    /// <summary>The content that counts at a time; nothing before the first reading and when the last one is too old.</summary>
    public double? At(SmoothingRule rule, double seconds) =>
        atSeconds is { } last && seconds - last <= rule.MaxAgeSeconds ? content : null;
}
