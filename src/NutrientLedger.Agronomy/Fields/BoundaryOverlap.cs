using NetTopologySuite.Operation.Overlay;
using NetTopologySuite.Operation.OverlayNG;

namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// The ground that two boundaries share, in m². Fields that merely touch share none; neighbours often share slivers below
/// <see cref="SliverSquareMetres"/>, which are no overlap worth refusing.
/// </summary>
public static class BoundaryOverlap
{
    /// <summary>One centimetre along one kilometre: what rounding to 1e-7 degree makes of an edge that two fields have in common.</summary>
    public const double SliverSquareMetres = 10;

    /// <summary>Both boundaries must have passed <see cref="BoundaryCheck"/>.</summary>
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
