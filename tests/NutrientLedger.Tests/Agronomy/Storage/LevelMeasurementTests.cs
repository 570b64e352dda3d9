using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Tests.Agronomy.Storage;

public sealed class LevelMeasurementTests
{
    // Alberta Agriculture and Food, Nutrient Management Planning Guide (Agdex 400/28-3, 2007), p. 134 (seen):
    // wall 8.7 m and freeboard 2.1 m along the slope, slope angle 70°, depth 6.2 m; tolerance 0.05 m.
    [Fact]
    public void P19_depth_follows_from_the_tape_along_the_wall() =>
        Assert.Equal(6.2, LevelMeasurement.DepthMetres(8.7, 2.1, 70), 0.05);

    [Fact]
    public void Along_an_upright_wall_the_tape_shows_the_depth() =>
        Assert.Equal(6.6, LevelMeasurement.DepthMetres(8.7, 2.1, 90), 1e-12);

    [Theory]
    [InlineData(0)]
    [InlineData(-10)]
    [InlineData(90.5)]
    [InlineData(double.NaN)]
    public void An_impossible_slope_is_rejected(double degrees) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => LevelMeasurement.DepthMetres(8.7, 2.1, degrees));

    // Marginal volume: dV/dd is the surface (derived). So 10 mm of error in the level are surface × 0.01 m of error in
    // the volume.
    [Fact]
    public void An_error_of_the_level_is_an_error_of_the_volume_by_the_surface()
    {
        var basin = new RectangularBasin(60_000, 25_000, 2_500, 3_600);
        var deviation = LevelMeasurement.VolumeDeviationCubicMetres(basin, 2_000, 10);
        Assert.Equal(basin.VolumeCubicMetres(2_010) - basin.VolumeCubicMetres(2_000), deviation, 0.005 * deviation);
    }
}
