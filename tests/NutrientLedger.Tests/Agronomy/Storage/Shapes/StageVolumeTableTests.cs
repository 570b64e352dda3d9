using System.Collections.Immutable;
using CsCheck;
using MathNet.Numerics.Interpolation;
using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Tests.Agronomy.Storage.Shapes;

/// <summary>No source publishes a worked table. The checks are properties and an independent interpolation.</summary>
public sealed class StageVolumeTableTests
{
    private static readonly Gen<StageVolumeTable> Tables = Gen.Select(Gen.Int[1, 900], Gen.Long[1, 4_000_000])
        .Array[1, 12]
        .Select(steps =>
        {
            var stages = ImmutableArray.CreateBuilder<StageVolume>();
            stages.Add(new(0, 0));
            foreach (var (height, litres) in steps)
                stages.Add(new(stages[^1].LevelMillimetres + height, stages[^1].VolumeLitres + litres));
            return new StageVolumeTable(stages.ToImmutable());
        });

    [Fact]
    public void A_table_gives_back_every_surveyed_stage() =>
        Tables.Sample(table =>
            Assert.All(
                table.Stages,
                stage =>
                    Assert.Equal(
                        stage.VolumeLitres / 1000.0,
                        table.VolumeCubicMetres(stage.LevelMillimetres),
                        1e-9 * stage.VolumeLitres
                    )
            )
        );

    [Fact]
    public void The_volume_never_falls_with_depth_and_the_surface_is_never_negative() =>
        Tables.Sample(table =>
        {
            var before = 0.0;
            for (var level = 0; level <= table.DepthMillimetres; level += 1 + table.DepthMillimetres / 300)
            {
                var volume = table.VolumeCubicMetres(level);
                Assert.True(volume >= before - 1e-9 * before, $"{volume} m³ at {level} mm after {before} m³.");
                var surface = table.SurfaceSquareMetres(level);
                Assert.True(surface >= -1e-9 * (1 + volume), $"{surface} m² at {level} mm.");
                before = volume;
            }
        });

    [Fact]
    public void The_surface_is_what_a_little_more_depth_adds() =>
        Tables.Sample(table =>
        {
            for (var level = 1; level < table.DepthMillimetres; level++)
            {
                // At a stage the curve bends, so the difference quotient is no check there.
                if (table.Stages.Any(stage => Math.Abs(stage.LevelMillimetres - level) <= 1))
                    continue;
                var (below, above) = (table.VolumeCubicMetres(level - 1), table.VolumeCubicMetres(level + 1));
                var (low, high) = (table.SurfaceSquareMetres(level - 1), table.SurfaceSquareMetres(level + 1));
                // Simpson's rule is exact for a cubic: V(b) − V(a) = h/6·(A(a) + 4A(m) + A(b)).
                var simpson = 0.002 / 6 * (low + 4 * table.SurfaceSquareMetres(level) + high);
                Assert.Equal(above - below, simpson, 1e-9 * (1 + above));
            }
        });

    [Fact]
    public void Between_surveyed_stages_it_agrees_with_another_monotone_interpolation() =>
        Tables
            .Where(table => table.Stages.Length >= 3)
            .Sample(table =>
            {
                var other = CubicSpline.InterpolatePchipSorted(
                    [.. table.Stages.Select(stage => stage.LevelMillimetres / 1000.0)],
                    [.. table.Stages.Select(stage => stage.VolumeLitres / 1000.0)]
                );
                for (var level = 0; level <= table.DepthMillimetres; level += 1 + table.DepthMillimetres / 100)
                {
                    var expected = other.Interpolate(level / 1000.0);
                    Assert.Equal(expected, table.VolumeCubicMetres(level), 1e-9 * (1 + expected));
                }
            });

    [Fact]
    public void A_basin_surveyed_every_300_mm_is_known_to_a_thousandth_of_its_volume()
    {
        var basin = new RectangularBasin(60_000, 25_000, 2_500, 3_600);
        var table = new StageVolumeTable([
            .. Enumerable.Range(0, 13).Select(n => new StageVolume(300 * n, Litres(basin, 300 * n))),
        ]);
        for (var level = 0; level <= 3_600; level += 50)
            Assert.Equal(
                basin.VolumeCubicMetres(level),
                table.VolumeCubicMetres(level),
                1e-3 * Litres(basin, 3_600) / 1000
            );
    }

    [Fact]
    public void Two_stages_make_upright_walls()
    {
        var table = new StageVolumeTable([new(0, 0), new(2_000, 80_000)]);
        Assert.Equal(20, table.VolumeCubicMetres(500), 1e-9);
        Assert.Equal(40, table.SurfaceSquareMetres(1_300), 1e-9);
    }

    [Fact]
    public void A_table_that_does_not_rise_is_rejected_by_its_stage()
    {
        static string ErrorOf(params StageVolume[] stages) =>
            Assert.Throws<ArgumentException>(() => new StageVolumeTable([.. stages])).Message;

        Assert.Contains("at least two", ErrorOf(new StageVolume(0, 0)), StringComparison.Ordinal);
        Assert.Contains("level 0", ErrorOf(new(10, 0), new(20, 5)), StringComparison.Ordinal);
        Assert.Contains("Stage 3", ErrorOf(new(0, 0), new(20, 5), new(20, 9)), StringComparison.Ordinal);
        Assert.Contains("Stage 2", ErrorOf(new(0, 7), new(20, 7)), StringComparison.Ordinal);
    }

    [Fact]
    public void Tables_with_the_same_stages_are_equal()
    {
        StageVolumeTable Table(long litres) => new([new(0, 0), new(2_000, litres)]);
        Assert.Equal(Table(5), Table(5));
        Assert.Equal(Table(5).GetHashCode(), Table(5).GetHashCode());
        Assert.NotEqual(Table(5), Table(6));
    }

    private static long Litres(PitShape shape, int level) => (long)Math.Round(shape.VolumeCubicMetres(level) * 1000);
}
