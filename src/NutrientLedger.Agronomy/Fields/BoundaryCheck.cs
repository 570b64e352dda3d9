using System.Globalization;
using NetTopologySuite.Operation.Valid;

namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// Checks a drawn boundary before it becomes a field. Each problem says what is wrong and where; an empty list means it
/// is sound.
/// </summary>
public static class BoundaryCheck
{
    /// <summary>
    /// A field spans at most one degree each way. More means wrong numbers or a field across the date line.
    /// </summary>
    private const long LargestReachE7 = 10_000_000;

    private const int HighestLatitudeE7 = 850_000_000;

    private const int HighestLongitudeE7 = 1_800_000_000;

    public static IReadOnlyList<string> Problems(Boundary boundary)
    {
        if (boundary.Parts.IsEmpty)
            return ["The boundary has no outline. Draw at least one ring of three corners."];
        var problems = boundary.Parts.SelectMany(RingsOf).SelectMany(ProblemsOf).Distinct().ToList();
        if (problems.Count == 0 && Reach(boundary) > LargestReachE7)
            problems.Add(
                "The boundary spans more than one degree of latitude or longitude. Check for swapped or mistyped numbers; draw a field across the date line as two."
            );
        if (problems.Count == 0)
            problems.AddRange(ProblemsOfShape(boundary));
        return problems;
    }

    private static IEnumerable<Ring> RingsOf(BoundaryPart part) => part.Holes.Prepend(part.Outer);

    private static IEnumerable<string> ProblemsOf(Ring ring)
    {
        if (ring.Corners.Distinct().Count() < 3)
            yield return "A ring has fewer than three different corners. Draw at least a triangle.";
        foreach (var corner in ring.Corners)
        {
            if (Math.Abs((long)corner.LatitudeE7) > HighestLatitudeE7)
                yield return $"The latitude {Degrees(corner.LatitudeE7)} is out of range. Give −85 to 85 degrees, latitude and longitude not swapped.";
            if (Math.Abs((long)corner.LongitudeE7) > HighestLongitudeE7)
                yield return $"The longitude {Degrees(corner.LongitudeE7)} is out of range. Give −180 to 180 degrees.";
        }
    }

    private static long Reach(Boundary boundary)
    {
        var box = BoundaryBox.Around(boundary);
        return Math.Max((long)box.NorthE7 - box.SouthE7, (long)box.EastE7 - box.WestE7);
    }

    private static IEnumerable<string> ProblemsOfShape(Boundary boundary)
    {
        if (boundary.Parts.SelectMany(RingsOf).Any(EnclosesNothing))
        {
            yield return "A ring encloses no ground: its corners lie on one line. Draw it again.";
            yield break;
        }

        var plane = new BoundaryPlane(boundary.Parts[0].Outer.Corners[0]);
        if (new IsValidOp(plane.Shape(boundary)).ValidationError is { } error)
            yield return Sentence(error, plane.Position(error.Coordinate));
    }

    // Whether all corners lie on the line through the first corner and another one. Whole numbers below 1e14, so exact.
    private static bool EnclosesNothing(Ring ring)
    {
        var first = ring.Corners[0];
        var other = ring.Corners.First(corner => corner != first);
        return ring.Corners.All(corner =>
            (long)(other.LongitudeE7 - first.LongitudeE7) * (corner.LatitudeE7 - first.LatitudeE7)
            == (long)(corner.LongitudeE7 - first.LongitudeE7) * (other.LatitudeE7 - first.LatitudeE7)
        );
    }

    private static string Sentence(TopologyValidationError error, GeoPoint place)
    {
        var near = $"near {Degrees(place.LatitudeE7)}, {Degrees(place.LongitudeE7)}";
        return error.ErrorType switch
        {
            TopologyValidationErrors.HoleOutsideShell =>
                $"A hole lies outside its outline {near}. Draw it inside, or leave it out.",
            TopologyValidationErrors.NestedHoles => $"A hole lies inside another hole {near}. Leave one of them out.",
            TopologyValidationErrors.NestedShells =>
                $"One part of the field lies inside another {near}. Leave one of them out.",
            TopologyValidationErrors.DisconnectedInteriors =>
                $"Holes cut the field in two {near}. Draw it as two parts.",
            _ => $"The outline crosses or overlaps itself {near}. Move the corners there so that no two edges cross.",
        };
    }

    private static string Degrees(int e7) => (e7 / 1e7).ToString("0.0000000", CultureInfo.InvariantCulture);
}
