namespace NutrientLedger.Agronomy.Units;

/// <summary>
/// The dry share of a material: a fraction of its fresh mass, above 0 and up to 1. Moisture is the rest.
/// </summary>
public readonly record struct DryMatter
{
    public DryMatter(double fraction)
    {
        if (!(fraction > 0 && fraction <= 1))
            throw new ArgumentOutOfRangeException(
                nameof(fraction),
                fraction,
                "Dry matter must be a fraction above 0 and up to 1."
            );
        Fraction = fraction;
    }

    public double Fraction { get; }

    public double Percent => Fraction * Definitions.Percent;

    public double MoisturePercent => (1 - Fraction) * Definitions.Percent;

    public static DryMatter FromPercent(double percent) => new(percent / Definitions.Percent);

    public static DryMatter FromMoisturePercent(double percent) => new(1 - percent / Definitions.Percent);
}
