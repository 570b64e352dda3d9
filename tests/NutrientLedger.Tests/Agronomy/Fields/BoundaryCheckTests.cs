using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

public sealed class BoundaryCheckTests
{
    private static readonly GeoPoint Yard = new(420_000_000, -930_000_000);

    private static readonly Ring Square = At((0, 0), (0, 300), (300, 300), (300, 0));

    [Fact]
    public void A_sound_field_has_no_problems()
    {
        Assert.Empty(BoundaryCheck.Problems(new([new(Square, [At((50, 50), (50, 90), (90, 70))])])));
        var fields = new SomeFields(seed: 31);
        for (var count = 0; count < 100; count++)
            Assert.Empty(BoundaryCheck.Problems(fields.Next(fields.Hectares())));
    }

    [Fact]
    public void A_field_without_an_outline_is_rejected() => AssertProblem("no outline", []);

    [Fact]
    public void Two_corners_are_no_field_even_if_one_is_repeated() =>
        AssertProblem("fewer than three", new BoundaryPart(At((0, 0), (0, 300), (0, 0)), []));

    [Fact]
    public void Corners_on_one_line_enclose_nothing() =>
        AssertProblem("encloses no ground", new BoundaryPart(new([new(0, 0), new(100, 200), new(300, 600)]), []));

    [Fact]
    public void An_outline_that_crosses_itself_is_rejected_with_the_place()
    {
        var bow = new BoundaryPart(new([new(0, 0), new(20_000, 20_000), new(20_000, 0), new(0, 20_000)]), []);
        AssertProblem("crosses or overlaps itself near 0.0010000, 0.0010000", bow);
    }

    [Fact]
    public void A_hole_outside_its_outline_is_rejected() =>
        AssertProblem(
            "A hole lies outside its outline",
            new BoundaryPart(Square, [At((400, 400), (400, 500), (500, 450))])
        );

    [Fact]
    public void A_hole_in_a_hole_is_rejected() =>
        AssertProblem(
            "A hole lies inside another hole",
            new BoundaryPart(Square, [At((20, 20), (20, 200), (200, 200), (200, 20)), At((50, 50), (50, 90), (90, 70))])
        );

    [Fact]
    public void Parts_that_lie_in_one_another_or_overlap_are_rejected()
    {
        AssertProblem("inside another", new(Square, []), new(At((50, 50), (50, 90), (90, 70)), []));
        AssertProblem("overlaps itself", new(Square, []), new(At((200, 200), (200, 400), (400, 300)), []));
    }

    [Fact]
    public void Positions_off_the_Earth_are_rejected_by_name()
    {
        AssertProblem(
            "latitude 93.0000000",
            new BoundaryPart(new([new(930_000_000, 420_000_000), new(0, 0), new(0, 9)]), [])
        );
        AssertProblem(
            "longitude 181.0000000",
            new BoundaryPart(new([new(0, 1_810_000_000), new(0, 0), new(9, 0)]), [])
        );
    }

    [Fact]
    public void A_field_of_more_than_a_degree_is_taken_for_a_mistake() =>
        AssertProblem("more than one degree", new BoundaryPart(new([new(0, 0), new(0, 10_000_001), new(9, 0)]), []));

    private static void AssertProblem(string words, params BoundaryPart[] parts)
    {
        var problem = Assert.Single(BoundaryCheck.Problems(new([.. parts])));
        Assert.Contains(words, problem, StringComparison.Ordinal);
    }

    private static Ring At(params (double East, double North)[] corners) =>
        new([.. corners.Select(corner => SomeFields.Moved(Yard, corner.East, corner.North))]);
}
