namespace NutrientLedger.Tests.Agronomy.Statistics;

/// <summary>
/// Cardiac output of 12 subjects by two methods, 60 pairs. Bland and Altman, Statistical Methods in Medical Research 8,
/// 1999, table 4 (its differences as in the data set "cardiac" of the R package MethComp; single values from memory,
/// which give these differences).
/// </summary>
internal static class CardiacOutput
{
    public static double[][] Ventriculography { get; } =
    [
        [7.83, 7.42, 7.89, 7.12, 7.88],
        [6.16, 7.26, 6.71, 6.54],
        [4.75, 5.24, 4.86, 4.78, 6.05, 5.42],
        [4.21, 3.61, 3.72, 3.87, 3.92],
        [3.13, 2.98, 2.85, 3.17, 3.09, 3.12],
        [5.92, 6.42, 5.92, 6.27],
        [7.13, 6.62, 6.58, 6.93],
        [4.54, 4.81, 5.11, 5.29, 5.39, 5.57],
        [4.48, 4.92, 3.97],
        [4.22, 4.65, 4.74, 4.44, 4.50],
        [6.78, 6.07, 6.52, 6.42, 6.41, 5.76],
        [5.06, 4.72, 4.90, 4.80, 4.90, 5.10],
    ];

    public static double[][] Impedance { get; } =
    [
        [6.57, 5.62, 6.90, 6.57, 6.35],
        [4.06, 4.29, 4.26, 4.09],
        [4.71, 5.50, 5.08, 5.02, 6.01, 5.67],
        [4.14, 4.20, 4.61, 4.68, 5.04],
        [3.03, 2.86, 2.77, 2.46, 2.32, 2.43],
        [5.90, 5.81, 5.70, 5.76],
        [5.09, 4.63, 4.61, 5.09],
        [4.72, 4.61, 4.36, 4.20, 4.36, 4.20],
        [3.17, 3.12, 2.96],
        [4.35, 4.62, 3.16, 3.53, 3.53],
        [7.20, 6.09, 7.00, 7.10, 7.40, 6.80],
        [4.50, 4.20, 3.80, 3.80, 4.20, 4.50],
    ];

    public static double[][] Differences { get; } =
    [.. Ventriculography.Zip(Impedance, (x, y) => x.Zip(y, (one, other) => one - other).ToArray())];
}
