using MathNet.Numerics.LinearAlgebra;

namespace NutrientLedger.Agronomy.Balance;

/// <summary>
/// The independent checks that balances make on measurements. The coordinates make all measurement errors independent
/// and of size 1. The rows are orthonormal, so the sum of squares of what they miss is chi-square itself.
/// </summary>
internal sealed record BalanceChecks(Matrix<double> Rows, Vector<double> Totals)
{
    private const double Negligible = 1e-10;

    /// <summary>
    /// Null when the balances check no measurement. The root is a lower triangle L with L·Lᵀ = covariance.
    /// </summary>
    public static BalanceChecks? Of((Matrix<double> OnMeasured, Vector<double> Totals)? projected, Matrix<double> root)
    {
        if (projected is not var (onMeasured, totals))
            return null;
        var norms = onMeasured.RowNorms(2);
        var kept = Enumerable.Range(0, norms.Count).Where(row => norms[row] > 0).ToArray();
        Agree(
            totals,
            totals.EnumerateIndexed().Where(total => !kept.Contains(total.Item1)).Select(total => total.Item2)
        );
        return kept.Length == 0
            ? null
            : Orthonormal(
                Matrix<double>.Build.DenseOfRowVectors(kept.Select(row => onMeasured.Row(row) * root)),
                Vector<double>.Build.DenseOfEnumerable(kept.Select(row => totals[row]))
            );
    }

    private static BalanceChecks Orthonormal(Matrix<double> rows, Vector<double> totals)
    {
        // Every balance gets the same weight, whatever its unit. Then repeated balances are separated from new ones.
        var norms = rows.RowNorms(2);
        var scaled = totals.PointwiseDivide(norms);
        var values = rows.NormalizeRows(2).Svd(true);
        var rank = values.S.Count(value => value > Negligible * values.S.Maximum());
        var turned = values.U.TransposeThisAndMultiply(scaled);
        Agree(scaled, turned.Skip(rank));
        return new(
            values.VT.SubMatrix(0, rank, 0, rows.ColumnCount),
            turned.SubVector(0, rank).PointwiseDivide(values.S.SubVector(0, rank))
        );
    }

    // A balance that repeats others must also repeat their totals.
    private static void Agree(Vector<double> totals, IEnumerable<double> leftOver)
    {
        var largest = totals.AbsoluteMaximum();
        if (leftOver.Any(total => Math.Abs(total) > 1e-9 * largest))
            throw new ArgumentException(
                "The balances contradict each other whatever was measured; check their totals."
            );
    }
}
