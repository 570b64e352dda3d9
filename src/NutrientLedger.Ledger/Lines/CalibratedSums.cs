using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Lines;

/// <summary>
/// The sums of lines under the calibrations in force, exact, in millionths of the raw sums' unit. That is millionths of
/// a microgram for nutrients, millionths of mL × ppm for dry matter. A negative mass is kept as it is. Where a
/// calibration makes it negative, the volume of its line counts as flagged.
/// </summary>
public readonly record struct CalibratedSums(
    Int128 DryMatter,
    Int128 TotalNitrogen,
    Int128 AmmoniumNitrogen,
    Int128 Phosphorus,
    Int128 Potassium,
    Int128 OrganicNitrogenFloored,
    long FlaggedMillilitres,
    long NegativeMillilitres,
    bool IsCalibrated
)
{
    /// <summary>So many millionths make one of the raw unit.</summary>
    public const int Millionths = 1_000_000;

    // An intercept in thousandths of mg/L times a volume in mL gives thousandths of a microgram.
    private const int MillionthsPerThousandth = 1000;

    /// <summary>The sums of one line as its sensor measured them.</summary>
    public static CalibratedSums AsMeasured(LineAmounts line) => Of(line, (_, sums) => sums.WeightedSum * Millionths);

    /// <summary>
    /// The sums of one line under a configuration: slope × weighted sum + intercept × the volume with a content.
    /// </summary>
    public static CalibratedSums Of(FarmConfiguration configuration, LineKey key, LineAmounts line)
    {
        var calibrations = configuration.Calibrations;
        if (calibrations.Adopted.IsEmpty || key.SensorId.Length == 0)
            return AsMeasured(line);
        var calibrated = false;
        var corrected = Of(line, Corrected);
        return corrected with { IsCalibrated = calibrated };

        Int128 Corrected(Analyte analyte, AnalyteSums sums)
        {
            var with = line.VolumeMillilitres - sums.MillilitresWithout;
            if (
                with == 0
                || calibrations.At(key.SensorId, analyte, key.PitId, key.HourStartSeconds * 1000) is not { } adopted
            )
                return sums.WeightedSum * Millionths;
            calibrated = true;
            return (Int128)adopted.SlopeMillionths * sums.WeightedSum
                + (Int128)adopted.InterceptThousandths * MillionthsPerThousandth * with;
        }
    }

    public static CalibratedSums operator +(CalibratedSums left, CalibratedSums right) =>
        new(
            left.DryMatter + right.DryMatter,
            left.TotalNitrogen + right.TotalNitrogen,
            left.AmmoniumNitrogen + right.AmmoniumNitrogen,
            left.Phosphorus + right.Phosphorus,
            left.Potassium + right.Potassium,
            left.OrganicNitrogenFloored + right.OrganicNitrogenFloored,
            left.FlaggedMillilitres + right.FlaggedMillilitres,
            left.NegativeMillilitres + right.NegativeMillilitres,
            left.IsCalibrated || right.IsCalibrated
        );

    private static CalibratedSums Of(LineAmounts line, Func<Analyte, AnalyteSums, Int128> corrected)
    {
        var dryMatter = corrected(Analyte.DryMatter, line.DryMatter);
        var total = corrected(Analyte.TotalNitrogen, line.TotalNitrogen);
        var ammonium = corrected(Analyte.AmmoniumNitrogen, line.AmmoniumNitrogen);
        var phosphorus = corrected(Analyte.Phosphorus, line.Phosphorus);
        var potassium = corrected(Analyte.Potassium, line.Potassium);
        // A sensor's noise near zero is negative as measured. That is no fault of a calibration.
        var isNegative =
            IsMadeNegative(dryMatter, line.DryMatter)
            || IsMadeNegative(total, line.TotalNitrogen)
            || IsMadeNegative(ammonium, line.AmmoniumNitrogen)
            || IsMadeNegative(phosphorus, line.Phosphorus)
            || IsMadeNegative(potassium, line.Potassium);
        return new(
            dryMatter,
            total,
            ammonium,
            phosphorus,
            potassium,
            Int128.Max(total - ammonium, 0),
            isNegative ? line.VolumeMillilitres : line.FlaggedMillilitres,
            isNegative ? line.VolumeMillilitres : 0,
            IsCalibrated: false
        );
    }

    private static bool IsMadeNegative(Int128 corrected, AnalyteSums measured) =>
        corrected < 0 && measured.WeightedSum >= 0;
}
