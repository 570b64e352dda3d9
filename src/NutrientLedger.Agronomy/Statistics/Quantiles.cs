using MathNet.Numerics.Distributions;

namespace NutrientLedger.Agronomy.Statistics;

/// <summary>
/// Quantiles: how many standard errors a value may stray by chance. A confidence is a share between 0 and 1, both
/// excluded. 0.95 leaves one chance in twenty, half of it on either side.
/// </summary>
internal static class Quantiles
{
    public static double TwoSidedNormal(double confidence) => Normal.InvCDF(0, 1, (1 + Share(confidence)) / 2);

    public static double TwoSidedT(double confidence, double degreesOfFreedom) =>
        StudentT.InvCDF(0, 1, degreesOfFreedom, (1 + Share(confidence)) / 2);

    public static double OneSidedT(double confidence, double degreesOfFreedom) =>
        StudentT.InvCDF(0, 1, degreesOfFreedom, Share(confidence));

    public static double F(double confidence, double upperDegrees, double lowerDegrees) =>
        FisherSnedecor.InvCDF(upperDegrees, lowerDegrees, Share(confidence));

    /// <summary>The probability that a sum of squares at least this large arises by chance alone.</summary>
    public static double ChanceOfChiSquare(double chiSquare, int degreesOfFreedom) =>
        degreesOfFreedom == 0 ? 1 : 1 - ChiSquared.CDF(degreesOfFreedom, chiSquare);

    public static double Share(double confidence) =>
        confidence is > 0 and < 1
            ? confidence
            : throw new ArgumentOutOfRangeException(
                nameof(confidence),
                confidence,
                "Give confidence as a share between 0 and 1, such as 0.95."
            );
}
