using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>
/// Against geodesic polygons (checked in <see cref="GeodesicPolygonTests"/>); tolerance 1e-6 of the area.
/// </summary>
public sealed class BoundaryAreaTests
{
    [Fact]
    public void Fields_of_half_a_hectare_to_200_hectares_of_any_shape_agree_with_geodesic_polygons()
    {
        var fields = new SomeFields(seed: 2026);
        for (var count = 0; count < 300; count++)
        {
            var field = fields.Next(fields.Hectares());
            var geodesic = GeodesicPolygon.SquareMetresOf(field);
            Assert.Equal(geodesic, BoundaryArea.SquareMetres(field), 1e-6 * geodesic);
        }
    }

    // Section O of the published values: derived there with an independent library, not published; tolerance 1e-6.
    [Theory]
    [InlineData(430_000_000, 430_040_000, -890_000_000, -889_950_000, 181166.3716)]
    [InlineData(420_000_000, 420_070_000, -935_000_000, -934_900_000, 644140.5217)]
    public void Rectangles_of_latitude_and_longitude_have_the_known_area(
        int south,
        int north,
        int west,
        int east,
        double squareMetres
    )
    {
        var field = new Boundary([
            new(new([new(south, west), new(south, east), new(north, east), new(north, west)]), []),
        ]);
        Assert.Equal(squareMetres, BoundaryArea.SquareMetres(field), 1e-6 * squareMetres);
    }

    [Fact]
    public void An_area_does_not_depend_on_the_way_round_nor_on_the_first_corner()
    {
        var field = new SomeFields(seed: 7).NextHoled();
        var area = BoundaryArea.SquareMetres(field);
        var reversed = Redrawn(field, ring => new([.. ring.Corners.Reverse()]));
        var begunElsewhere = Redrawn(field, ring => new([.. ring.Corners.Skip(3), .. ring.Corners.Take(3)]));
        Assert.Equal(area, BoundaryArea.SquareMetres(reversed), 1e-9 * area);
        Assert.Equal(area, BoundaryArea.SquareMetres(begunElsewhere), 1e-9 * area);
    }

    [Fact]
    public void A_hole_takes_away_just_its_own_area()
    {
        var part = new SomeFields(seed: 8).NextHoled().Parts[0];
        var whole = BoundaryArea.SquareMetres(new([new(part.Outer, [])]));
        var holes = part.Holes.Sum(hole => BoundaryArea.SquareMetres(new([new(hole, [])])));
        Assert.True(holes > 0);
        Assert.Equal(whole - holes, BoundaryArea.SquareMetres(new([part])), 1e-9 * whole);
    }

    private static Boundary Redrawn(Boundary field, Func<Ring, Ring> redraw) =>
        new([.. field.Parts.Select(part => new BoundaryPart(redraw(part.Outer), [.. part.Holes.Select(redraw)]))]);
}
