namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// A position on the WGS84 ellipsoid in whole 1e-7 degrees (about 11 mm of latitude): latitude −900000000…900000000,
/// longitude −1800000000…1800000000.
/// </summary>
public readonly record struct GeoPoint(int LatitudeE7, int LongitudeE7);
