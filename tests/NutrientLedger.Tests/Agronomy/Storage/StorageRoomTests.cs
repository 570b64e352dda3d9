using CsCheck;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Tests.Agronomy.Storage;

public sealed class StorageRoomTests
{
    private static readonly RectangularBasin Basin = new(60_000, 25_000, 2_500, 3_600);

    private static readonly Gen<PitShape> Shapes = Gen.Select(
        Gen.Int[0, 4],
        Gen.Int[1_000, 80_000],
        Gen.Int[0, 4_000],
        Gen.Int[500, 6_000],
        (kind, size, slope, depth) =>
            kind switch
            {
                0 => (PitShape)new RectangularBasin(size, size / 2, slope, depth),
                1 => new RoundTank(size, depth),
                2 => new RoundPond(size, slope, depth),
                3 => new CoveredPit(size, size / 2, depth),
                _ => new StageVolumeTable([new(0, 0), new(depth / 2, size), new(depth, 3L * size)]),
            }
    );

    // USDA NRCS, Agricultural Waste Management Field Handbook, chapter 10, design example 10-2 (seen; the width of 40
    // ft is inferred): 100 cows × 1,400 lb and 52 heifers × 1,000 lb at 1.30 ft³ per 1,000 lb and day for 90 days give
    // 16,380 + 6,084 = 22,464 ft³, bedding 2,232 ft³, in all 24,696 ft³ (tolerance 1 ft³), a stack 88.2 ft long (0.05
    // ft: 0.06 days). One foot is written as one metre.
    [Fact]
    public void P18_a_stack_for_90_days_is_full_after_90_days()
    {
        const double cows = 100 * 1.4 * 1.30,
            heifers = 52 * 1.0 * 1.30,
            bedding = 2_232 / 90.0;
        Assert.Equal(16_380, cows * 90, 1.0);
        Assert.Equal(6_084, heifers * 90, 1.0);
        var stack = new CoveredPit(88_200, 40_000, 7_000);
        Assert.Equal(24_696, StorageRoom.CubicMetres(stack, 0, StorageAllowance.None), 1.0);

        var days = StorageRoom.Days(stack, 0, StorageAllowance.None, new(cows + heifers + bedding));

        Assert.Equal(90, days!.Value, 0.06);
    }

    // 1 in of rain on 1 ac is 27,154 US gal (a web page on water application rates, spikevm.com, seen; exact
    // 27,154.29); tolerance 1 gal. One acre is a square with sides of 63.615 m.
    [Fact]
    public void An_inch_of_rain_on_an_acre_brings_its_gallons()
    {
        var acre = new RectangularBasin(63_615, 63_615, 0, 1_000);
        var gallons = new StorageAllowance(0, 25.4, 0).StormCubicMetres(acre) / 0.003785411784;
        Assert.Equal(27_154, gallons, 1.0);
    }

    // Public permit record, NC DEQ, document 3318169, structure volume calculations (seen): pump-out level = top of dam
    // − (0.5 ft + 1.0 ft spillway allowance + storm volume / surface). Between upright walls that is exact to the
    // millimetre in which levels are counted.
    [Fact]
    public void Between_upright_walls_the_pump_out_level_lies_below_freeboard_by_storm_volume_over_surface()
    {
        var tank = new RoundTank(24_400, 4_900);
        var allowance = new StorageAllowance(457, 140, 25);
        var surface = tank.SurfaceSquareMetres(0);
        var expected = 4_900 - 457 - (0.140 * surface + 25) / surface * 1000;
        Assert.InRange(expected - allowance.PumpOutLevelMillimetres(tank), 0, 1);
    }

    [Fact]
    public void At_the_pump_out_level_the_storm_still_ends_under_the_freeboard_and_a_millimetre_above_it_does_not() =>
        Gen.Select(Shapes, Gen.Int[0, 300], Gen.Double[0, 200], Gen.Double[0, 5])
            .Sample(
                (shape, freeboard, rain, runoff) =>
                {
                    var allowance = new StorageAllowance(freeboard, rain, runoff);
                    var underFreeboard = shape.VolumeCubicMetres(shape.DepthMillimetres - freeboard);
                    var storm = allowance.StormCubicMetres(shape);
                    var level = allowance.PumpOutLevelMillimetres(shape);
                    if (allowance.UsableCubicMetres(shape) == 0)
                        Assert.Equal(0, level);
                    else
                        Assert.True(shape.VolumeCubicMetres(level) + storm <= underFreeboard + 1e-9);
                    if (level < shape.DepthMillimetres)
                        Assert.True(shape.VolumeCubicMetres(level + 1) + storm > underFreeboard - 1e-9);
                }
            );

    [Fact]
    public void The_level_that_holds_a_volume_is_the_level_of_that_volume() =>
        Gen.Select(Shapes, Gen.Double[0, 1])
            .Sample(
                (shape, share) =>
                {
                    var level = (int)(share * shape.DepthMillimetres);
                    var volume = shape.VolumeCubicMetres(level);
                    // A volume read back may differ in its last bit, and then the millimetre below holds it.
                    Assert.Equal(level, shape.LevelMillimetresHolding(volume * (1 + 1e-12) + 1e-12));
                    Assert.Equal(shape.DepthMillimetres, shape.LevelMillimetresHolding(double.MaxValue));
                }
            );

    [Fact]
    public void Filling_for_the_days_left_uses_up_the_room() =>
        Gen.Select(Shapes, Gen.Double[0.1, 20], Gen.Double[0, 5])
            .Sample(
                (shape, manure, rain) =>
                {
                    var inflow = new DailyInflow(manure, rain);
                    var room = StorageRoom.CubicMetres(shape, 0, StorageAllowance.None);
                    var perDay = manure + rain / 1000 * shape.RainCatchSquareMetres();
                    var days = StorageRoom.Days(shape, 0, StorageAllowance.None, inflow);
                    if (room / perDay <= StorageRoom.LongestDays)
                        Assert.Equal(room / perDay, days!.Value, 1e-6 * (1 + room / perDay));
                    else
                        Assert.Null(days);
                }
            );

    [Fact]
    public void Rain_brings_the_last_day_nearer_evaporation_puts_it_off_and_a_cover_keeps_both_out()
    {
        double? Days(PitShape shape, DailyInflow inflow) =>
            StorageRoom.Days(shape, 1_000, StorageAllowance.None, inflow);

        var dry = Days(Basin, new(20))!.Value;
        Assert.True(Days(Basin, new(20, RainMillimetres: 3)) < dry);
        Assert.True(Days(Basin, new(20, EvaporationMillimetres: 3)) > dry);
        Assert.Null(Days(Basin, new(2, EvaporationMillimetres: 30)));

        var covered = new CoveredPit(36_000, 12_200, 2_400);
        Assert.Equal(Days(covered, new(2)), Days(covered, new(2, 3, 1)));
    }

    [Fact]
    public void A_storage_above_its_pump_out_level_has_negative_room_and_no_days()
    {
        var allowance = new StorageAllowance(300, 150, 0);
        var above = allowance.PumpOutLevelMillimetres(Basin) + 100;
        Assert.True(StorageRoom.CubicMetres(Basin, above, allowance) < 0);
        Assert.Equal(0, StorageRoom.Days(Basin, above, allowance, new(5)));
        Assert.True(StorageRoom.CubicMetres(Basin, above - 200, allowance) > 0);
    }
}
