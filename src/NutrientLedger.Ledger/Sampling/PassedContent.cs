namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// How the delay from sensor to sample was taken into account. Of several in one window the last one here counts.
/// </summary>
public enum HoseLag
{
    /// <summary>None: sampled beside the sensor or in the pit, or the sensor sits on the applicator.</summary>
    None = 0,

    /// <summary>Sampled at the applicator, read at the pump: shifted by the hose's volume.</summary>
    Shifted = 1,

    /// <summary>Sampled at the applicator, read at the pump, hose volume unknown: not shifted.</summary>
    NotKnown = 2,
}

/// <summary>
/// What passed a sensor in one window: mL, mL × content (mg/L, or ppm for dry matter), and the mL without a content.
/// </summary>
public readonly record struct PassedContent(
    long VolumeMillilitres,
    Int128 WeightedSum,
    long MillilitresWithout,
    HoseLag Lag = HoseLag.None
)
{
    /// <summary>The volume-weighted mean in the sensor's unit. Null where nothing was measured.</summary>
    public double? Mean =>
        VolumeMillilitres > MillilitresWithout ? (double)WeightedSum / (VolumeMillilitres - MillilitresWithout) : null;

    public static PassedContent Of(long volumeMillilitres, int? content, HoseLag lag = HoseLag.None) =>
        new(
            volumeMillilitres,
            (Int128)volumeMillilitres * (content ?? 0),
            content is null ? volumeMillilitres : 0,
            lag
        );

    public static PassedContent operator +(PassedContent left, PassedContent right) =>
        new(
            left.VolumeMillilitres + right.VolumeMillilitres,
            left.WeightedSum + right.WeightedSum,
            left.MillilitresWithout + right.MillilitresWithout,
            left.Lag > right.Lag ? left.Lag : right.Lag
        );
}
