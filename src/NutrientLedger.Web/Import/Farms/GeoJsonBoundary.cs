using System.Collections.Immutable;
using System.Text.Json;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Reads a GeoJSON Polygon or MultiPolygon into a boundary in whole 1e-7 degrees. An invalid one is reported and read
/// as a boundary without parts.
/// </summary>
internal sealed class GeoJsonBoundary(string label, FileProblems problems)
{
    private const int DegreeE7 = 10_000_000;

    public Boundary Read(JsonObjectReader geometry)
    {
        var kind = geometry.Choice("type", ("Polygon", 1), ("MultiPolygon", 2));
        if (kind == 0 || geometry.Required("coordinates") is not { } coordinates)
            return new([]);
        var polygons = kind == 1 ? [coordinates] : List(coordinates, "a list of polygons");
        BoundaryPart?[] parts = [.. polygons.Select(Part)];
        if (parts.Length == 0 || parts.Contains(null))
            return new([]);
        var boundary = new Boundary([.. parts.Select(part => part!)]);
        var problems = BoundaryCheck.Problems(boundary);
        foreach (var problem in problems)
            Problem(coordinates, problem);
        return problems.Count == 0 ? boundary : new([]);
    }

    private BoundaryPart? Part(PositionedJsonValue polygon)
    {
        Ring?[] rings = [.. List(polygon, "a list of rings").Select(Ring)];
        return rings.Length == 0 || rings.Contains(null)
            ? null
            : new BoundaryPart(rings[0]!, [.. rings[1..].Select(ring => ring!)]);
    }

    private Ring? Ring(PositionedJsonValue written)
    {
        var positions = new List<GeoPoint>();
        foreach (var item in List(written, "a ring of positions"))
            if (Position(item) is { } position)
                positions.Add(position);
            else
                return null;
        if (positions.Count == 0)
            return null;
        if (positions.Count < 4 || positions[0] != positions[^1])
        {
            Problem(written, "A ring must have at least four positions and end where it began.");
            return null;
        }
        // Positions less than about a centimetre apart round to the same corner, which is kept once.
        var corners = ImmutableArray.CreateBuilder<GeoPoint>();
        for (var i = 0; i < positions.Count - 1; i++)
            if (positions[i] != positions[i + 1])
                corners.Add(positions[i]);
        return new(corners.ToImmutable());
    }

    private GeoPoint? Position(PositionedJsonValue position)
    {
        if (
            position is { Kind: JsonTokenType.StartArray, Items: [var east, var north, ..] }
            && JsonNumbers.Number(east) is { } longitude and >= -180 and <= 180
            && JsonNumbers.Number(north) is { } latitude and >= -90 and <= 90
        )
            return new(InE7(latitude), InE7(longitude));
        Problem(
            position,
            "A position is [longitude, latitude] in degrees, longitude -180 to 180 and latitude -90 to 90."
        );
        return null;
    }

    private static int InE7(decimal degrees) => (int)Math.Round(degrees * DegreeE7, MidpointRounding.AwayFromZero);

    private IReadOnlyList<PositionedJsonValue> List(PositionedJsonValue value, string what)
    {
        if (value is { Kind: JsonTokenType.StartArray, Items.Count: > 0 })
            return value.Items;
        Problem(value, $"There should be {what} here.");
        return [];
    }

    private void Problem(PositionedJsonValue at, string text) => problems.Add(at.Line, $"{label}: {text}");
}
