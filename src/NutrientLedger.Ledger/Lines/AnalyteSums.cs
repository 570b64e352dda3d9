namespace NutrientLedger.Ledger.Lines;

/// <summary>
/// Raw sums of one analyte: volume × concentration as measured (mL × mg/L, so micrograms; mL × ppm for dry matter).
/// Beside it the volume without a concentration.
/// </summary>
public readonly record struct AnalyteSums(Int128 WeightedSum, long MillilitresWithout)
{
    public static AnalyteSums operator +(AnalyteSums left, AnalyteSums right) =>
        new(left.WeightedSum + right.WeightedSum, left.MillilitresWithout + right.MillilitresWithout);
}
