namespace NutrientLedger.Agronomy.Statistics;

/// <summary>
/// A value far from the median of the values around it: its place, that median, and how many robust standard deviations
/// (or smallest deviations that count) it lies from it.
/// </summary>
public readonly record struct Outlier(int Place, double Median, double Deviations);
