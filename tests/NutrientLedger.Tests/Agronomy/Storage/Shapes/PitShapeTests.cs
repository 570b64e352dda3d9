using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Tests.Agronomy.Storage.Shapes;

/// <summary>
/// Published volumes, one foot written as one metre (the formulas hold in any one unit of length). P-numbers:
/// reference/worked-examples.
/// </summary>
public sealed class PitShapeTests
{
    // USDA NRCS, Agricultural Waste Management Field Handbook, chapter 10, worksheet 10A-2 (seen): slopes
    // 3:1, bottom width 100 ft, volumes in ft³ to the whole number.
    [Theory]
    [InlineData(400_000, 6_000, 296_592)]
    [InlineData(425_000, 6_000, 314_292)]
    [InlineData(425_000, 6_200, 326_903)]
    public void P17_a_pond_with_slopes_of_3_to_1_has_the_volume_of_the_worksheet(int length, int depth, double volume)
    {
        var pond = new RectangularBasin(length, 100_000, 3_000, depth);
        Assert.Equal(volume, pond.VolumeCubicMetres(depth), 1.0);
    }

    // The fourth volume printed on the worksheet, 367,392 ft³, has illegible dimensions in the copy that was read; a
    // length of 500 ft gives it (our own reading, derived); tolerance 1 ft³.
    [Fact]
    public void P17_the_fourth_volume_of_the_worksheet_is_a_pond_500_ft_long() =>
        Assert.Equal(367_392, new RectangularBasin(500_000, 100_000, 3_000, 6_000).VolumeCubicMetres(6_000), 1.0);

    // Same handbook, design example 10-2 (seen; the width of 40 ft is inferred): 88.2 × 40 × 7 ft hold
    // 24,696 ft³; tolerance 1 ft³.
    [Fact]
    public void P18_a_stack_between_upright_walls_is_length_times_width_times_height() =>
        Assert.Equal(24_696, new RectangularBasin(88_200, 40_000, 0, 7_000).VolumeCubicMetres(7_000), 1.0);

    // A consumer how-to page on the gallons in a round tank (ehow.co.uk, no. 5991406, seen), diameter 22 ft, depth 10
    // ft: 3,801.46 ft³ with π taken as 3.1417; tolerance 0.15 %.
    [Fact]
    public void P20_a_round_tank_has_the_volume_of_a_cylinder() =>
        Assert.Equal(3801.46, new RoundTank(22_000, 10_000).VolumeCubicMetres(10_000), 0.0015 * 3801.46);

    // Prismoidal formula V = d/6·(A_top + A_bottom + 4·A_mid): "Structure volume calculations", public permit record of
    // NC DEQ, and "Dugout volume method", Alberta Agriculture, 2004 (both seen). It is another formula than the
    // worksheet's; both are exact for equal slopes.
    [Fact]
    public void Every_volume_agrees_with_the_prismoidal_formula()
    {
        foreach (var pit in SomePits())
        {
            for (var level = 2; level <= pit.DepthMillimetres; level += 250)
            {
                var areas =
                    pit.SurfaceSquareMetres(level)
                    + pit.SurfaceSquareMetres(0)
                    + 4 * pit.SurfaceSquareMetres(level / 2);
                var even = level / 2 * 2;
                Assert.Equal(even / 6000.0 * areas, pit.VolumeCubicMetres(even), 1e-9 * pit.VolumeCubicMetres(even));
            }
        }
    }

    [Fact]
    public void A_volume_grows_with_depth_and_by_the_surface()
    {
        foreach (var pit in SomePits())
        {
            for (var level = 1; level < pit.DepthMillimetres; level += 97)
            {
                var below = pit.VolumeCubicMetres(level - 1);
                var above = pit.VolumeCubicMetres(level + 1);
                Assert.True(above > below, $"{pit} holds no more at {level + 1} mm than at {level - 1} mm.");
                var surface = pit.SurfaceSquareMetres(level);
                // Between levels 1 mm away the slope of a cubic is 4z²·(0.001)²/3 steeper: 12 mm² at 3:1.
                Assert.Equal(surface, (above - below) / 0.002, 2e-5 + 1e-9 * surface);
            }
        }
    }

    [Fact]
    public void A_level_outside_the_storage_counts_as_empty_or_full_and_can_be_seen_to_be_outside()
    {
        foreach (var pit in SomePits())
        {
            Assert.Equal(0, pit.VolumeCubicMetres(0));
            Assert.Equal(0, pit.VolumeCubicMetres(-5));
            Assert.Equal(pit.VolumeCubicMetres(pit.DepthMillimetres), pit.VolumeCubicMetres(pit.DepthMillimetres + 5));
            Assert.Equal(
                pit.SurfaceSquareMetres(pit.DepthMillimetres),
                pit.SurfaceSquareMetres(pit.DepthMillimetres + 5)
            );
            Assert.True(pit.Reaches(0) && pit.Reaches(pit.DepthMillimetres));
            Assert.False(pit.Reaches(-1) || pit.Reaches(pit.DepthMillimetres + 1));
        }
    }

    private static PitShape[] SomePits() =>
        [
            new RectangularBasin(60_000, 25_000, 2_500, 3_600),
            new RectangularBasin(24_400, 12_200, 0, 2_400),
            new RectangularBasin(1, 1, 3_000, 2_000),
            new RoundTank(27_400, 4_900),
            new RoundPond(31_000, 2_500, 3_600),
            new CoveredPit(36_000, 12_200, 2_400),
        ];
}
