using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Lines;

/// <summary>
/// The mass of one nutrient (elemental) and its mean content. The mass is a minimum when part of the volume came
/// without a content.
/// </summary>
public sealed record NutrientAmount(double Kilograms, double? MeanKilogramsPerCubicMetre, double CubicMetresWithout)
{
    public bool AtLeast => CubicMetresWithout > 0;
}

/// <summary>Dry matter as a fraction of fresh mass (0…1), the mean over the volume with a content.</summary>
public sealed record DryMatterContent(double? MeanFraction, double CubicMetresWithout);

/// <summary>
/// Total less ammonium nitrogen, 0 and marked where ammonium was measured above total. Null where the two were measured
/// in different volumes, as their difference would then have no meaning.
/// </summary>
public sealed record OrganicNitrogen(double? Kilograms, bool Floored);

/// <summary>
/// What comes from readings that one rule flags: its volume, and its part (0…1) of the spread volume and of each
/// nutrient's mass as the sensor measured it. Manure metered while the tool was not engaged has no such part of the
/// volume.
/// </summary>
public sealed record FlaggedAmount(
    FlagRule Rule,
    long Intervals,
    double CubicMetres,
    double? ShareOfVolume,
    double? ShareOfTotalNitrogen,
    double? ShareOfAmmoniumNitrogen,
    double? ShareOfPhosphorus,
    double? ShareOfPotassium
);

/// <summary>
/// A sum of ledger lines in the units of the trade, under the calibrations in force. Here, at the edge, whole numbers
/// become decimals. Nothing is rounded. A sum below zero, of noise or by a calibration, is 0 here.
/// </summary>
public sealed record SpreadAmounts(LineAmounts Sums, CalibratedSums Calibrated)
{
    private const double MillilitresPerCubicMetre = 1e6;
    private const double MicrogramsPerKilogram = 1e9;
    private const double SquareMetresPerHectare = 1e4;

    /// <summary>The amounts of some lines together, under a configuration.</summary>
    public static SpreadAmounts Of(
        FarmConfiguration configuration,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines
    )
    {
        var (sums, calibrated, measured) = (LineAmounts.None, default(CalibratedSums), default(CalibratedSums));
        var inZones = new List<KeyValuePair<LineKey, LineAmounts>>();
        foreach (var (key, line) in lines)
        {
            sums += line;
            calibrated += CalibratedSums.Of(configuration, key, line);
            measured += CalibratedSums.AsMeasured(line);
            if (line.InNoSpreadZones is { } part)
                inZones.Add(new(key, part));
        }
        return new(sums, calibrated)
        {
            AsMeasured = calibrated.IsCalibrated ? new(sums, measured) : null,
            InNoSpreadZones = inZones.Count > 0 ? Of(configuration, inZones) : null,
        };
    }

    /// <summary>The same amounts without any calibration. Null where no calibration affects them.</summary>
    public SpreadAmounts? AsMeasured { get; private init; }

    /// <summary>
    /// The part spread inside no-spread zones, volume and nutrients. Null when nothing was. These amounts include it.
    /// </summary>
    public SpreadAmounts? InNoSpreadZones { get; private init; }

    /// <summary>Spread with the tool engaged, at a known place.</summary>
    public double VolumeCubicMetres => CubicMetres(Sums.VolumeMillilitres);

    public double DisengagedCubicMetres => CubicMetres(Sums.DisengagedMillilitres);

    public double NotPlacedCubicMetres => CubicMetres(Sums.NotPlacedMillilitres);

    /// <summary>All that the meter is known to have counted: spread, disengaged and not placed.</summary>
    public double MeteredCubicMetres =>
        CubicMetres(Sums.VolumeMillilitres + Sums.DisengagedMillilitres + Sums.NotPlacedMillilitres);

    public long UnknownIntervals => Sums.UnknownIntervals;

    /// <summary>The part (0…1) of the spread volume that comes from readings that a rule flags.</summary>
    public double FlaggedShare =>
        Sums.VolumeMillilitres == 0 ? 0 : (double)Calibrated.FlaggedMillilitres / Sums.VolumeMillilitres;

    /// <summary>The spread volume of lines in which a calibration makes a content negative.</summary>
    public double NegativeCubicMetres => CubicMetres(Calibrated.NegativeMillilitres);

    /// <summary>
    /// How much of the amounts comes from readings that a rule flags, for each rule that flagged any. Rules overlap.
    /// <see cref="InNoSpreadZones"/> stands apart, as it is about the place and not about the readings.
    /// </summary>
    public IEnumerable<FlaggedAmount> FlaggedByRule =>
        Sums
            .Flagged.ByRule.Where(part => part.Key != FlagRule.InsideNoSpreadZone)
            .Select(part => new FlaggedAmount(
                part.Key,
                part.Value.Intervals,
                CubicMetres(part.Value.Millilitres),
                part.Key == FlagRule.FlowWhileDisengaged || Sums.VolumeMillilitres == 0
                    ? null
                    : (double)part.Value.Millilitres / Sums.VolumeMillilitres,
                Share(part.Value.TotalNitrogen, Sums.TotalNitrogen),
                Share(part.Value.AmmoniumNitrogen, Sums.AmmoniumNitrogen),
                Share(part.Value.Phosphorus, Sums.Phosphorus),
                Share(part.Value.Potassium, Sums.Potassium)
            ));

    /// <summary>The same ground counts again on every pass.</summary>
    public double AreaTravelledSquareMetres => Sums.AreaTravelledSquareCentimetres / 1e4;

    /// <summary>The rate while spreading: volume over area travelled, not over the area covered.</summary>
    public double? CubicMetresPerHectareTravelled =>
        Sums.AreaTravelledSquareCentimetres == 0
            ? null
            : VolumeCubicMetres / (AreaTravelledSquareMetres / SquareMetresPerHectare);

    public DateTimeOffset? LastMeasuredAt =>
        Sums.Intervals == 0 ? null : DateTimeOffset.FromUnixTimeMilliseconds(Sums.LastMeasuredAtMilliseconds);

    public DryMatterContent DryMatter =>
        new(Mean(Calibrated.DryMatter, Sums.DryMatter) / 1e6, CubicMetres(Sums.DryMatter.MillilitresWithout));

    public NutrientAmount TotalNitrogen => Nutrient(Calibrated.TotalNitrogen, Sums.TotalNitrogen);

    public NutrientAmount AmmoniumNitrogen => Nutrient(Calibrated.AmmoniumNitrogen, Sums.AmmoniumNitrogen);

    public NutrientAmount Phosphorus => Nutrient(Calibrated.Phosphorus, Sums.Phosphorus);

    public NutrientAmount Potassium => Nutrient(Calibrated.Potassium, Sums.Potassium);

    public OrganicNitrogen OrganicNitrogen
    {
        get
        {
            if (Sums.TotalNitrogen.MillilitresWithout != Sums.AmmoniumNitrogen.MillilitresWithout)
                return new(null, Floored: false);
            var millionths = Calibrated.TotalNitrogen - Calibrated.AmmoniumNitrogen;
            return new(Kilograms(Int128.Max(millionths, 0)), Floored: millionths < 0);
        }
    }

    /// <summary>The spread volume that lacks at least one of the three nutrients of a plan.</summary>
    public double CubicMetresWithoutPlanNutrient =>
        Math.Max(
            TotalNitrogen.CubicMetresWithout,
            Math.Max(Phosphorus.CubicMetresWithout, Potassium.CubicMetresWithout)
        );

    public double P2O5Kilograms => Phosphorus.Kilograms * Oxides.P2O5PerPhosphorus;

    public double K2OKilograms => Potassium.Kilograms * Oxides.K2OPerPotassium;

    private static double? Share(AnalyteSums part, AnalyteSums whole) =>
        whole.WeightedSum == 0 ? null : (double)part.WeightedSum / (double)whole.WeightedSum;

    private static double CubicMetres(long millilitres) => millilitres / MillilitresPerCubicMetre;

    // Sums are mL × mg/L, which are micrograms. 1 mg/L is 1/1000 kg/m³.
    private NutrientAmount Nutrient(Int128 millionths, AnalyteSums sums) =>
        new(Kilograms(millionths), Mean(millionths, sums) / 1000, CubicMetres(sums.MillilitresWithout));

    private double? Mean(Int128 millionths, AnalyteSums sums)
    {
        var with = Sums.VolumeMillilitres - sums.MillilitresWithout;
        return with == 0 ? null : Units(millionths) / with;
    }

    /// <summary>A sum of millionths of a microgram as kilograms, at least 0.</summary>
    internal static double Kilograms(Int128 millionths) => Units(millionths) / MicrogramsPerKilogram;

    // Whole units first. A sum without calibration is the same number to the last bit as its raw sum.
    private static double Units(Int128 millionths) =>
        millionths < 0
            ? 0
            : (double)(millionths / CalibratedSums.Millionths)
                + (double)(millionths % CalibratedSums.Millionths) / CalibratedSums.Millionths;
}
