namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// The fixed grid of cells on which a farm counts covered ground. It starts at latitude 0, longitude 0. A cell is
/// <see cref="StepLatitudeE7"/> by <see cref="StepLongitudeE7"/> whole 1e-7 degrees, both even, about 1 m each way.
/// </summary>
public readonly record struct CoverageGrid(int StepLatitudeE7, int StepLongitudeE7)
{
    private const int DefaultStepE7 = 90;

    private const int HighestLatitudeE7 = 850_000_000;

    /// <summary>
    /// The grid for a farm at a latitude (up to 85 degrees either way). Its cells are about 1 m each way there.
    /// </summary>
    /// <exception cref="ArgumentOutOfRangeException">The latitude is more than 85 degrees from the equator.</exception>
    public static CoverageGrid At(int latitudeE7)
    {
        if (latitudeE7 is < -HighestLatitudeE7 or > HighestLatitudeE7)
            throw new ArgumentOutOfRangeException(
                nameof(latitudeE7),
                "The latitude of a grid must be within 85 degrees of the equator."
            );
        var stretched = DefaultStepE7 / Math.Cos(latitudeE7 * GeoPoint.RadiansPerStep);
        return new(DefaultStepE7, 2 * (int)Math.Round(stretched / 2, MidpointRounding.AwayFromZero));
    }

    public GridCell CellOf(GeoPoint point) =>
        new(
            (int)FloorDivision.Divide(point.LatitudeE7, StepLatitudeE7),
            (int)FloorDivision.Divide(point.LongitudeE7, StepLongitudeE7)
        );

    public GeoPoint Centre(GridCell cell) =>
        new(cell.Row * StepLatitudeE7 + StepLatitudeE7 / 2, cell.Column * StepLongitudeE7 + StepLongitudeE7 / 2);

    /// <summary>
    /// The area of each cell of a row in m², on the ellipsoid: M·N·cos φ·Δφ·Δλ at the latitude of its centre.
    /// </summary>
    public double CellSquareMetres(int row)
    {
        var scale = GroundScale.At(Centre(new(row, 0)).LatitudeE7);
        return scale.MetresPerStepNorth * StepLatitudeE7 * (scale.MetresPerStepEast * StepLongitudeE7);
    }
}
