using CsCheck;
using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Spreading;

public sealed class TargetRatesTests
{
    private static readonly PresentAnalysis Slurry = new(new(3.8), 2.4 / 3.8, new(1.0), new(4.3));

    // Alberta Agriculture and Food, Nutrient Management Planning Guide (Agdex 400/28-3, 2007), p. 216 and 221
    // (seen): 78 kg available N/ha with 2.4 g available N/L need 32,500 L/ha; tolerance 50.
    [Fact]
    public void P08_the_available_nitrogen_target_sets_the_printed_rate()
    {
        var first = TargetRates.Of(new(AvailableNitrogen: new(78)), Slurry).First;
        Assert.Equal(LimitedNutrient.AvailableNitrogen, first!.Nutrient);
        Assert.Equal(32_500, first.Rate.LitresPerHectare, 50.0);
    }

    [Fact]
    public void The_nutrient_that_reaches_its_target_first_sets_the_rate()
    {
        // 150/3.8 = 39.5, 60/(1.0 × 2.2910) = 26.2, 200/(4.3 × 1.2051) = 38.6 m³/ha.
        var rates = TargetRates.Of(new(new(150), null, new(60), new(200)), Slurry);
        Assert.Equal(
            [LimitedNutrient.P2O5, LimitedNutrient.K2O, LimitedNutrient.TotalNitrogen],
            rates.Rates.Select(rate => rate.Nutrient)
        );
        Assert.Equal(60 / 2.2910, rates.First!.Rate.CubicMetresPerHectare, 1e-9);
        Assert.True(rates.IsCertain);
    }

    [Fact]
    public void The_speed_for_a_nutrient_target_brings_that_nutrient()
    {
        // 0.1 m³/s over 9 m: the speed at which the first limit, 60 kg P2O5/ha, is met.
        var first = TargetRates.Of(new(new(150), null, new(60)), Slurry).First!;
        var speed = SpreadingRate.SpeedMetresPerSecond(first.Rate, 0.1, 9);
        var p2o5 = 0.1 * 1.0 * 2.2910 / (speed * 9) * 10_000;
        Assert.Equal(60, p2o5, 1e-9);
    }

    [Fact]
    public void At_the_first_rate_no_target_is_exceeded_and_one_is_met() =>
        Gen.Double[0.1, 9]
            .Array[4]
            .Select(Gen.Double[5, 300].Array[4])
            .Sample(
                (contents, targets) =>
                {
                    var analysis = new PresentAnalysis(
                        new(contents[0]),
                        contents[1] / 9,
                        new(contents[2]),
                        new(contents[3])
                    );
                    var rates = TargetRates.Of(
                        new(new(targets[0]), new(targets[1]), new(targets[2]), new(targets[3])),
                        analysis
                    );
                    var rate = rates.First!.Rate;
                    double[] reached =
                    [
                        (new Concentration<Nitrogen>(contents[0]) * rate).KilogramsPerHectare / targets[0],
                        (new Concentration<Nitrogen>(contents[0] * contents[1] / 9) * rate).KilogramsPerHectare
                            / targets[1],
                        (new Concentration<Phosphorus>(contents[2]).As<P2O5>() * rate).KilogramsPerHectare / targets[2],
                        (new Concentration<Potassium>(contents[3]).As<K2O>() * rate).KilogramsPerHectare / targets[3],
                    ];
                    Assert.Equal(1, reached.Max(), 1e-9);
                }
            );

    [Fact]
    public void Without_a_nutrients_analysis_the_first_limit_is_not_certain()
    {
        var rates = TargetRates.Of(new(new(150), new(80), new(60)), new(new(3.8)));
        Assert.Equal([LimitedNutrient.AvailableNitrogen, LimitedNutrient.P2O5], rates.NotAnalysed.AsEnumerable());
        Assert.Equal(LimitedNutrient.TotalNitrogen, rates.First!.Nutrient);
        Assert.False(rates.IsCertain);
    }

    [Fact]
    public void A_nutrient_that_the_manure_does_not_hold_never_limits()
    {
        var rates = TargetRates.Of(new(P2O5: new(60)), new(Phosphorus: new(0)));
        Assert.Null(rates.First);
        Assert.True(rates.IsCertain);
    }

    [Fact]
    public void Impossible_contents_shares_and_targets_are_rejected()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => TargetRates.Of(new(new(-1)), Slurry));
        Assert.Throws<ArgumentOutOfRangeException>(() => TargetRates.Of(new(new(100)), new(new(double.NaN))));
        Assert.Throws<ArgumentOutOfRangeException>(() =>
            TargetRates.Of(new(AvailableNitrogen: new(100)), new(new(3.8), 1.2))
        );
    }
}
