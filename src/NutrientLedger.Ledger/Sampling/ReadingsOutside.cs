namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// The sensor's range in its samples (mg/L, or ppm for dry matter), and how much of the volume that a calibration
/// corrects (mL) was read outside it. An hour is outside where its mean lies more than
/// <see cref="BeyondMax"/> below the lowest or above the highest value.
/// </summary>
public sealed record ReadingsOutside(double Low, double High, long VolumeMillilitres, long MillilitresOutside)
{
    /// <summary>
    /// So far beyond either end a line is still believed, as a share of that end. Common practice, no source.
    /// </summary>
    public const double BeyondMax = 0.1;

    /// <summary>A rule adopts only up to this share of the volume outside. Common practice, no source.</summary>
    public const double ShareMax = 0.1;

    /// <summary>From 0 to 1. It is 0 where nothing was read.</summary>
    public double Share => VolumeMillilitres == 0 ? 0 : (double)MillilitresOutside / VolumeMillilitres;

    public bool IsTooMuch => Share > ShareMax;
}
