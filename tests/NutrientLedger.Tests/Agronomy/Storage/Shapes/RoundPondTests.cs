using CsCheck;
using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Tests.Agronomy.Storage.Shapes;

public sealed class RoundPondTests
{
    // USDA NRCS, Agricultural Waste Management Field Handbook, chapter 10, worksheet 10A-2 (seen): V = 1.05z²d³ +
    // 1.57Wzd² + 0.79W²d, one foot written as one metre. The printed factors are π/3 = 1.0472, π/2 = 1.5708 and π/4 =
    // 0.7854 rounded, the last one up by 0.59 %: tolerance 0.6 %. No worked pond is printed.
    [Theory]
    [InlineData(100, 3, 6)]
    [InlineData(40, 2, 12)]
    [InlineData(250, 4, 8)]
    public void A_round_pond_has_the_volume_of_the_worksheets_formula(int width, int slope, int depth)
    {
        double z = slope,
            w = width,
            d = depth;
        var printed = 1.05 * z * z * d * d * d + 1.57 * w * z * d * d + 0.79 * w * w * d;
        var pond = new RoundPond(width * 1000, slope * 1000, depth * 1000);
        Assert.Equal(printed, pond.VolumeCubicMetres(depth * 1000), 0.006 * printed);
    }

    [Fact]
    public void Without_slope_a_round_pond_is_a_tank() =>
        Gen.Select(Gen.Int[1, 200_000], Gen.Int[1, 30_000])
            .Sample(
                (diameter, depth) =>
                {
                    var tank = new RoundTank(diameter, depth);
                    var pond = new RoundPond(diameter, 0, depth);
                    Assert.Equal(tank.VolumeCubicMetres(depth), pond.VolumeCubicMetres(depth), 1e-6);
                    Assert.Equal(tank.SurfaceSquareMetres(depth), pond.SurfaceSquareMetres(depth), 1e-6);
                }
            );

    // A consumer how-to page on the gallons in a round tank (ehow.co.uk, no. 5991406, seen), diameter 22 ft, depth 10
    // ft: 28,397 gal with 7.47 gal/ft³ (exact: 28,435.9); tolerance 0.15 %. One US gallon is 231 in³.
    [Fact]
    public void P20_a_round_tank_holds_the_printed_gallons()
    {
        const double cubicMetresPerGallon = 231 * 0.0254 * 0.0254 * 0.0254;
        var (diameter, depth) = ((int)Math.Round(22 * 304.8), (int)Math.Round(10 * 304.8));
        var gallons = new RoundTank(diameter, depth).VolumeCubicMetres(depth) / cubicMetresPerGallon;
        Assert.Equal(28_397, gallons, 0.0015 * 28_397);
    }
}
