namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// The smallest box of whole 1e-7 degrees around a boundary, sides included. A point outside it is outside the
/// boundary.
/// </summary>
public readonly record struct BoundaryBox(int SouthE7, int WestE7, int NorthE7, int EastE7)
{
    public static BoundaryBox Around(Boundary boundary)
    {
        var box = new BoundaryBox(int.MaxValue, int.MaxValue, int.MinValue, int.MinValue);
        foreach (var part in boundary.Parts)
        {
            foreach (var corner in part.Outer.Corners)
                box = box.Including(corner);
        }
        return box;
    }

    public bool Holds(GeoPoint point) =>
        point.LatitudeE7 >= SouthE7
        && point.LatitudeE7 <= NorthE7
        && point.LongitudeE7 >= WestE7
        && point.LongitudeE7 <= EastE7;

    public bool Meets(BoundaryBox other) =>
        other.SouthE7 <= NorthE7 && other.NorthE7 >= SouthE7 && other.WestE7 <= EastE7 && other.EastE7 >= WestE7;

    /// <summary>
    /// Whether two boxes share ground. Where only their sides meet, no point lies within both boundaries.
    /// </summary>
    public bool Overlaps(BoundaryBox other) =>
        other.SouthE7 < NorthE7 && other.NorthE7 > SouthE7 && other.WestE7 < EastE7 && other.EastE7 > WestE7;

    private BoundaryBox Including(GeoPoint corner) =>
        new(
            Math.Min(SouthE7, corner.LatitudeE7),
            Math.Min(WestE7, corner.LongitudeE7),
            Math.Max(NorthE7, corner.LatitudeE7),
            Math.Max(EastE7, corner.LongitudeE7)
        );
}
