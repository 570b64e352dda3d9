namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// The fixed lattice of cells on which a farm counts covered ground, anchored at latitude 0, longitude 0: a cell is
/// <see cref="StepLatitudeE7"/> by <see cref="StepLongitudeE7"/> whole 1e-7 degrees, both even, about 1 m each way.
/// </summary>
public readonly record struct CoverageLattice(int StepLatitudeE7, int StepLongitudeE7);
