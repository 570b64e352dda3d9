using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;

namespace NutrientLedger.Agronomy.Balance;

/// <summary>
/// The unmeasured part of the balances, A_u. It gives rows P with P·A_u = 0, which take that part out of the balances.
/// It also gives each unmeasured flow once the measured flows are known. Both come from the singular values of A_u.
/// </summary>
internal sealed class UnmeasuredFlows
{
    // Singular values below this share of the largest are rounding: the factors of a balance are around 1.
    private const double Negligible = 1e-10;

    private readonly BalanceSystem system;
    private readonly Svd<double>? values;
    private readonly int rank;

    public UnmeasuredFlows(BalanceSystem system)
    {
        this.system = system;
        values = system.OnUnmeasured?.Svd(true);
        rank = values?.S.Count(value => value > Negligible * values.S.Maximum()) ?? 0;
    }

    /// <summary>The balances without unmeasured flows; null when the unmeasured flows use up every balance.</summary>
    public (Matrix<double> OnMeasured, Vector<double> Totals)? Projected()
    {
        var rows = system.OnMeasured.RowCount;
        if (values is null || rank == 0)
            return (system.OnMeasured, system.Totals);
        if (rank == rows)
            return null;
        var projection = values.U.SubMatrix(0, rows, rank, rows - rank).Transpose();
        var onMeasured = projection * system.OnMeasured;
        // What the projection cancels must be exactly zero, or its rounding would look like a balance.
        onMeasured.CoerceZero(Negligible * system.OnMeasured.Enumerate().Max(Math.Abs));
        return (onMeasured, projection * system.Totals);
    }

    /// <summary>u = A_u⁺·(c − A_m·x): the constant part, and the matrix that multiplies the measured flows.</summary>
    public (Vector<double> Constant, Matrix<double> OnMeasured)? Inference()
    {
        if (values is null || rank == 0)
            return null;
        var (rows, columns) = (values.U.RowCount, values.VT.ColumnCount);
        var scaled = values.U.SubMatrix(0, rows, 0, rank) * Matrix<double>.Build.DenseOfDiagonalVector(1 / Leading());
        var inverse = (scaled * values.VT.SubMatrix(0, rank, 0, columns)).Transpose();
        return (inverse * system.Totals, -inverse * system.OnMeasured);
    }

    /// <summary>Whether the balances determine this unmeasured flow, given by its index among the unmeasured.</summary>
    public bool Follows(int column)
    {
        if (values is null || rank == 0)
            return false;
        var held = values.VT.SubMatrix(0, rank, column, 1).FrobeniusNorm();
        return 1 - held * held < Negligible;
    }

    private Vector<double> Leading() => values!.S.SubVector(0, rank);
}
