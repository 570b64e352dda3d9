using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

public sealed class BoundaryOverlapTests
{
    private const int South = 420_000_000;

    private const int West = -930_000_000;

    private static readonly Boundary Field = Box(0, 0, 40_000, 40_000);

    [Fact]
    public void Fields_apart_or_merely_touching_share_nothing()
    {
        Assert.Equal(0, BoundaryOverlap.SquareMetres(Field, Box(50_000, 0, 90_000, 40_000)));
        Assert.Equal(0, BoundaryOverlap.SquareMetres(Field, Box(40_000, 0, 80_000, 40_000)));
        Assert.Equal(0, BoundaryOverlap.SquareMetres(Field, Box(40_000, 40_000, 80_000, 80_000)));
    }

    [Fact]
    public void Shared_ground_has_the_area_of_the_box_that_both_hold()
    {
        // The area of a boundary is checked against geodesics. The straight edges meant here differ by less than 1e-6
        // of it.
        var expected = BoundaryArea.SquareMetres(Box(10_000, 20_000, 40_000, 40_000));
        var shared = BoundaryOverlap.SquareMetres(Field, Box(10_000, 20_000, 60_000, 60_000));
        Assert.Equal(expected, shared, 2e-6 * expected);
        Assert.True(shared > BoundaryOverlap.SliverSquareMetres);
    }

    [Fact]
    public void A_field_shares_with_itself_its_whole_area()
    {
        var fields = new SomeFields(seed: 12);
        for (var count = 0; count < 50; count++)
        {
            // Edges of one boundary are geodesics for its area and straight in degrees here, hence the wider tolerance.
            var field = fields.Next(fields.Hectares());
            var area = BoundaryArea.SquareMetres(field);
            Assert.Equal(area, BoundaryOverlap.SquareMetres(field, field), 5e-3 * area);
        }
    }

    [Fact]
    public void A_field_in_another_ones_hole_shares_nothing_with_it()
    {
        var holed = new Boundary([
            Field.Parts[0] with
            {
                Holes = [Box(10_000, 10_000, 30_000, 30_000).Parts[0].Outer],
            },
        ]);
        Assert.Equal(0, BoundaryOverlap.SquareMetres(holed, Box(10_000, 10_000, 30_000, 30_000)));
        Assert.Equal(0, BoundaryOverlap.SquareMetres(Box(15_000, 15_000, 25_000, 25_000), holed));
    }

    [Fact]
    public void A_neighbour_drawn_one_step_over_the_edge_shares_only_a_sliver()
    {
        // One step of longitude is 8.28 mm here, the common edge 444.3 m long.
        var sliver = BoundaryOverlap.SquareMetres(Field, Box(39_999, 0, 80_000, 40_000));
        Assert.Equal(3.68, sliver, 0.01);
        Assert.True(sliver < BoundaryOverlap.SliverSquareMetres);
    }

    private static Boundary Box(int west, int south, int east, int north) =>
        new([
            new(
                new([
                    new(South + south, West + west),
                    new(South + south, West + east),
                    new(South + north, West + east),
                    new(South + north, West + west),
                ]),
                []
            ),
        ]);
}
