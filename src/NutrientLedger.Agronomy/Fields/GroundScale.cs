namespace NutrientLedger.Agronomy.Fields;

/// <summary>Metres per step of 1e-7 degree, to the north and to the east, at a latitude.</summary>
public readonly record struct GroundScale(double MetresPerStepNorth, double MetresPerStepEast)
{
    /// <summary>The scale at a latitude in 1e-7 degrees, which need not be whole.</summary>
    public static GroundScale At(double latitudeE7)
    {
        var latitude = latitudeE7 * GeoPoint.RadiansPerStep;
        var (meridian, primeVertical) = Ellipsoid.Radii(latitude);
        return new(meridian * GeoPoint.RadiansPerStep, primeVertical * Math.Cos(latitude) * GeoPoint.RadiansPerStep);
    }

    /// <summary>The scale at the middle latitude of two points.</summary>
    public static GroundScale Between(GeoPoint a, GeoPoint b) => At(((double)a.LatitudeE7 + b.LatitudeE7) / 2);

    /// <summary>Metres north from one point to another.</summary>
    public double North(GeoPoint from, GeoPoint to) => MetresPerStepNorth * ((double)to.LatitudeE7 - from.LatitudeE7);

    /// <summary>Metres east from one point to another.</summary>
    public double East(GeoPoint from, GeoPoint to) => MetresPerStepEast * ((double)to.LongitudeE7 - from.LongitudeE7);
}
