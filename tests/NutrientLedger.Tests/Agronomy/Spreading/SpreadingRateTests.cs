using CsCheck;
using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Spreading;

public sealed class SpreadingRateTests
{
    private const double SecondsPerMinute = 60;
    private const double MetresPerSecondPerKilometrePerHour = 1 / 3.6;
    private const double MetresPerSecondPerMilePerHour = 1609.344 / 3600;

    private static readonly Gen<double> Flow = Gen.Double[0.005, 0.2];
    private static readonly Gen<double> Speed = Gen.Double[0.3, 6];
    private static readonly Gen<double> Width = Gen.Double[2, 30];

    // Alberta Agriculture and Food, Nutrient Management Planning Guide (Agdex 400/28-3, 2007), p. 192 (seen):
    // 13,000 L/ha at 6 km/h and 4.9 m need 637 L/min; tolerance 0.5.
    [Fact]
    public void P12_a_drag_line_needs_the_printed_flow_for_its_target()
    {
        var flow = SpreadingRate.FlowCubicMetresPerSecond(
            VolumeRate.FromLitresPerHectare(13_000),
            6 * MetresPerSecondPerKilometrePerHour,
            4.9
        );
        Assert.Equal(637, new Volume(flow).Litres * SecondsPerMinute, 0.5);
    }

    // The same run in US units (derived): 168.28 gpm × 495 / (3.728 mph × 16.076 ft) = 1,389.9 gal/ac. The constant 495
    // = 43,560 × 60 / 5,280 is printed by Mesa County, stationary calibration method for boom sprayers (seen);
    // tolerance 0.1.
    [Fact]
    public void P12_gallons_per_acre_are_gallons_a_minute_times_495_over_miles_an_hour_and_feet()
    {
        var rate = SpreadingRate.Of(
            Volume.FromUsGallons(168.28).CubicMetres / SecondsPerMinute,
            3.728 * MetresPerSecondPerMilePerHour,
            16.076 * Definitions.MetresPerFoot
        );
        Assert.Equal(168.28 * 495 / (3.728 * 16.076), rate.UsGallonsPerAcre, 1e-6);
        Assert.Equal(1_389.9, rate.UsGallonsPerAcre, 0.1);
    }

    // Michigan State University Extension, Bulletin E2825, 2016 (seen): 100 loads of 3,000 gal on 60 ac of
    // manure with 30 lb available N per 1,000 gal are 5,000 gal/ac and 150 lb N/ac, exactly.
    [Fact]
    public void P11_a_hundred_loads_on_sixty_acres_are_the_printed_rates()
    {
        var rate = Volume.FromUsGallons(3_000) * 100 / Area.FromAcres(60);
        Assert.Equal(5_000, rate.UsGallonsPerAcre, 1e-9);
        Assert.Equal(150, (Concentration<Nitrogen>.FromPoundsPer1000UsGallons(30) * rate).PoundsPerAcre, 1e-9);
    }

    [Fact]
    public void Speed_and_flow_for_a_target_make_that_target() =>
        Gen.Select(Flow, Speed, Width)
            .Sample(
                (flow, speed, width) =>
                {
                    var rate = SpreadingRate.Of(flow, speed, width);
                    Assert.Equal(speed, SpreadingRate.SpeedMetresPerSecond(rate, flow, width), 1e-12 * speed + 1e-12);
                    Assert.Equal(flow, SpreadingRate.FlowCubicMetresPerSecond(rate, speed, width), 1e-12);
                }
            );

    [Fact]
    public void A_load_driven_for_its_distance_makes_the_rate_and_takes_as_long_as_its_flow() =>
        Gen.Select(Flow, Speed, Width)
            .Sample(
                (flow, speed, width) =>
                {
                    var load = Volume.FromLitres(12_000);
                    var rate = SpreadingRate.Of(flow, speed, width);
                    var metres = SpreadingRate.DriveMetres(rate, load, width);
                    Assert.Equal(
                        (load / new Area(metres * width)).CubicMetresPerHectare,
                        rate.CubicMetresPerHectare,
                        1e-6
                    );
                    Assert.Equal(load.CubicMetres / flow, metres / speed, 1e-6);
                }
            );

    // University of Illinois, 60 Ways, no. 37 (seen): new rate = calibrated rate × old speed / new speed.
    [Fact]
    public void At_another_speed_the_same_flow_makes_another_rate() =>
        Gen.Select(Flow, Speed, Speed, Width)
            .Sample(
                (flow, speed, other, width) =>
                    Assert.Equal(
                        SpreadingRate.Of(flow, other, width).CubicMetresPerHectare,
                        SpreadingRate.AtSpeed(SpreadingRate.Of(flow, speed, width), speed, other).CubicMetresPerHectare,
                        1e-6
                    )
            );

    [Theory]
    [InlineData(0, 2, 9)]
    [InlineData(0.03, 0, 9)]
    [InlineData(0.03, 2, -9)]
    [InlineData(double.NaN, 2, 9)]
    [InlineData(0.03, 2, double.PositiveInfinity)]
    public void Standing_still_makes_no_rate(double flow, double speed, double width) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => SpreadingRate.Of(flow, speed, width));
}
