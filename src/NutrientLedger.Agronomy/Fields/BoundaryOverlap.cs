using NetTopologySuite.Operation.Overlay;
using NetTopologySuite.Operation.OverlayNG;

namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// The ground that two boundaries share, in m². Fields that merely touch share none. Neighbouring fields often share
/// slivers below <see cref="SliverSquareMetres"/>; these do not count as an overlap.
/// </summary>
public static class BoundaryOverlap
{
    /// <summary>
    /// 10 m²: one centimetre along one kilometre. Rounding to 1e-7 degree does that to an edge that two fields share.
    /// </summary>
    public const double SliverSquareMetres = 10;

    /// <summary>Shared ground in m². Both boundaries must have passed <see cref="BoundaryCheck"/>.</summary>
    public static double SquareMetres(Boundary a, Boundary b)
    {
        if (!BoundaryBox.Around(a).Meets(BoundaryBox.Around(b)))
            return 0;
        var plane = new BoundaryPlane(a.Parts[0].Outer.Corners[0]);
        var shared = OverlayNGRobust.Overlay(plane.Shape(a), plane.Shape(b), SpatialFunction.Intersection);
        if (shared.Area == 0)
            return 0;
        var scale = GroundScale.At(plane.Position(shared.Centroid.Coordinate).LatitudeE7);
        return shared.Area * scale.MetresPerStepNorth * scale.MetresPerStepEast;
    }
}
