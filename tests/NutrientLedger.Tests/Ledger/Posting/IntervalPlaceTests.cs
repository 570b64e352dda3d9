using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Posting;

/// <summary>The field of an interval and its working width. Common practice, no source.</summary>
public class IntervalPlaceTests
{
    private const int Border = -935_000_000 + Some.SideE7;

    private static readonly FarmConfiguration Usual = Some.Configuration(Some.ConfigurationEvents());

    /// <summary>
    /// 180 steps to the east over the border of two fields; the middle lies 50 steps from the border.
    /// </summary>
    [Theory]
    [InlineData(-140, Some.West)]
    [InlineData(-40, Some.East)]
    public void An_interval_over_a_border_belongs_to_the_field_that_holds_its_middle(int from, string fieldId)
    {
        var pass = new Pass(2)
        {
            From = new GeoPoint(Some.Corner.LatitudeE7 + 1_000, Border + from),
            NorthE7 = 0,
            EastE7 = 180,
        };

        var (key, line) = Assert.Single(Post(pass).Lines);

        Assert.Equal((fieldId, 30_000), (key.FieldId, line.VolumeMillilitres));
    }

    [Fact]
    public void An_interval_is_as_wide_as_its_first_reading_says()
    {
        var even = Post(new Pass(2));
        var narrowed = Post(Widths(9_000, 6_000));
        var widened = Post(Widths(6_000, 9_000));

        Assert.Equal(Travelled(even), Travelled(narrowed));
        // Six metres are two thirds of nine. The area is in whole cm².
        Assert.Equal(Travelled(even) * 6 / 9.0, Travelled(widened), 1.0);
        Assert.Equal(Covered(even), Covered(narrowed));
        Assert.True(Covered(widened) < Covered(narrowed));
    }

    /// <summary>The applicator is registered with 9 m.</summary>
    [Fact]
    public void Where_the_first_reading_has_no_width_that_of_the_second_is_not_used() =>
        Assert.Equal(Travelled(Post(new Pass(2))), Travelled(Post(Widths(null, 6_000))));

    private static Pass Widths(int? first, int? second) =>
        new(2) { Change = (i, reading) => reading with { WidthMillimetres = i == 0 ? first : second } };

    private static LedgerAddition Post(Pass pass) => Some.Posted(Usual, Some.Batch(pass.Drive()));

    private static long Travelled(LedgerAddition accumulator) =>
        Assert.Single(accumulator.Lines).Value.AreaTravelledSquareCentimetres;

    private static double Covered(LedgerAddition accumulator) =>
        Assert.Single(accumulator.Coverage()).CoveredSquareMetres(Some.Grid);
}
