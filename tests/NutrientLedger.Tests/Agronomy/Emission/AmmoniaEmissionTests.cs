using CsCheck;
using NutrientLedger.Agronomy.Emission;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Tests.Agronomy.Emission;

public sealed class AmmoniaEmissionTests
{
    private static readonly Gen<WeatherHour> Hour = Gen.Select(
        Gen.Double[-10, 35],
        Gen.Double[0, 12],
        Gen.Double[0, 4],
        (temperature, wind, rain) => new WeatherHour(temperature, wind, rain)
    );

    private static readonly Gen<Incorporation?> WorkedIn = Gen.Select(
        Gen.Bool,
        Gen.Double[0, 60],
        Gen.Bool,
        (any, hours, deep) =>
            any
                ? new Incorporation(hours, deep ? IncorporationDepth.Deep : IncorporationDepth.Shallow)
                : (Incorporation?)null
    );

    private static readonly Gen<(EmissionSet Set, SpreadManure Manure)> Cases =
        from set in Gen.Bool.Select(first => first ? EmissionSets.Of2019 : EmissionSets.Of2021)
        from method in Gen.Int[0, set.Methods.Length - 1]
        from ammonium in Gen.Double[1, 200]
        from dry in Gen.Double[0.5, 12]
        from ph in Gen.Double[6, 9]
        from pigs in Gen.Bool
        from rate in Gen.Double[5, 90]
        from worked in WorkedIn
        select (set, new SpreadManure(ammonium, set.Methods[method], dry, ph, pigs, rate, worked));

    [Fact]
    public void What_is_lost_never_falls_and_never_exceeds_what_was_spread() =>
        Gen.Select(Cases, Hour.Array[1, 96])
            .Sample(
                (given, weather) =>
                {
                    var run = AmmoniaEmission.Run(given.Set, given.Manure, weather);
                    var before = 0.0;
                    foreach (var hour in run.Hours)
                    {
                        Assert.InRange(hour.EmittedFraction, before - 1e-12, 1);
                        Assert.True(hour.Pools.FastKilogramsPerHectare >= 0 && hour.Pools.SlowKilogramsPerHectare >= 0);
                        Assert.Equal(
                            given.Manure.AmmoniumNitrogenKilogramsPerHectare,
                            hour.Pools.SumKilogramsPerHectare + hour.EmittedKilogramsPerHectare,
                            1e-9
                        );
                        before = hour.EmittedFraction;
                    }
                }
            );

    // The differential equations dF/dt = −(r1 + r2)·F, dS/dt = r2·F − r3·S, integrated step by step (classical
    // Runge-Kutta) instead of by the closed form. The weather changes every hour.
    [Fact]
    public void The_closed_form_solves_the_differential_equations() =>
        Gen.Select(Cases, Hour.Array[1, 24])
            .Sample(
                (given, weather) =>
                {
                    var run = AmmoniaEmission.Run(given.Set, given.Manure with { Incorporation = null }, weather);
                    var total = given.Manure.AmmoniumNitrogenKilogramsPerHectare;
                    var (fast, slow) = (total * run.FastShare, total * (1 - run.FastShare));
                    foreach (var hour in run.Hours)
                    {
                        (fast, slow) = Integrated(fast, slow, hour.Rates);
                        Assert.Equal(fast, hour.Pools.FastKilogramsPerHectare, 1e-6 * total);
                        Assert.Equal(slow, hour.Pools.SlowKilogramsPerHectare, 1e-6 * total);
                    }
                },
                iter: 30
            );

    [Fact]
    public void Emission_scales_with_what_was_spread() =>
        Gen.Select(Cases, Hour.Array[1, 48], Gen.Double[0.1, 5])
            .Sample(
                (given, weather, times) =>
                {
                    var more = given.Manure with
                    {
                        AmmoniumNitrogenKilogramsPerHectare = given.Manure.AmmoniumNitrogenKilogramsPerHectare * times,
                    };
                    Assert.Equal(
                        AmmoniaEmission.Run(given.Set, given.Manure, weather).Hours[^1].EmittedFraction,
                        AmmoniaEmission.Run(given.Set, more, weather).Hours[^1].EmittedFraction,
                        1e-9
                    );
                }
            );

    // Own expectation, no published output: incorporated manure retains more ammonia than manure on the surface. The
    // sooner it is incorporated, the more it retains.
    [Fact]
    public void Earlier_and_deeper_incorporation_retains_more_ammonia_and_is_marked_as_unverified()
    {
        var weather = Enumerable.Repeat(new WeatherHour(18, 3), 72).ToArray();
        foreach (var set in EmissionSets.All)
        {
            double Lost(Incorporation? incorporation)
            {
                var run = AmmoniaEmission.Run(
                    set,
                    new(60, ApplicationMethod.Broadcast, 7, Incorporation: incorporation),
                    weather
                );
                Assert.Equal(incorporation?.AfterHours < 72, run.IncorporationIsUnverified);
                return run.Hours[^1].EmittedFraction;
            }
            double[] lost =
            [
                Lost(new(0, IncorporationDepth.Deep)),
                Lost(new(1, IncorporationDepth.Deep)),
                Lost(new(1.5, IncorporationDepth.Deep)),
                Lost(new(1.5, IncorporationDepth.Shallow)),
                Lost(new(6, IncorporationDepth.Shallow)),
                Lost(null),
            ];
            Assert.Equal(lost.Order(), lost);
            Assert.Equal(Lost(null), Lost(new(72, IncorporationDepth.Deep)));
        }
    }

    [Fact]
    public void A_method_that_a_set_does_not_cover_is_rejected_by_name()
    {
        var error = Assert.Throws<ArgumentException>(() =>
            AmmoniaEmission.Run(EmissionSets.Of2019, new(50, ApplicationMethod.ClosedSlotInjection), [new(13, 2)])
        );
        Assert.Contains(
            "set 1 (2019) has no parameters for closed-slot-injection",
            error.Message,
            StringComparison.Ordinal
        );
        Assert.Throws<ArgumentException>(() =>
            AmmoniaEmission.Run(EmissionSets.Of2021, new(50, ApplicationMethod.SweepInjection), [new(13, 2)])
        );
    }

    [Fact]
    public void Impossible_manure_and_weather_are_rejected()
    {
        void Rejected(SpreadManure manure, WeatherHour hour) =>
            Assert.Throws<ArgumentOutOfRangeException>(() => AmmoniaEmission.Run(EmissionSets.Of2021, manure, [hour]));
        var manure = new SpreadManure(50, ApplicationMethod.Broadcast);
        Rejected(manure with { AmmoniumNitrogenKilogramsPerHectare = -1 }, new(13, 2));
        Rejected(manure with { AmmoniumNitrogenKilogramsPerHectare = double.NaN }, new(13, 2));
        Rejected(manure with { DryMatterPercent = 101 }, new(13, 2));
        Rejected(manure with { PH = 15 }, new(13, 2));
        Rejected(manure with { Incorporation = new(-1, IncorporationDepth.Deep) }, new(13, 2));
        Rejected(manure, new(13, -2));
        Rejected(manure, new(130, 2));
        Rejected(manure, new(13, 2, double.NaN));
    }

    [Fact]
    public void Manure_without_ammonium_loses_nothing() =>
        Assert.Equal(
            0,
            AmmoniaEmission
                .Run(EmissionSets.Of2021, new(0, ApplicationMethod.Broadcast), [new(13, 2)])
                .Hours[^1]
                .EmittedFraction
        );

    private static (double Fast, double Slow) Integrated(double fast, double slow, EmissionRates rates)
    {
        // The fastest pool must not shrink by more than a twentieth in one step.
        var steps = (int)Math.Ceiling(20 * (1 + rates.FastPerHour + rates.PassagePerHour + rates.SlowPerHour));
        var h = 1.0 / steps;
        (double, double) Slope(double f, double s) =>
            (-(rates.FastPerHour + rates.PassagePerHour) * f, rates.PassagePerHour * f - rates.SlowPerHour * s);
        for (var step = 0; step < steps; step++)
        {
            var (f1, s1) = Slope(fast, slow);
            var (f2, s2) = Slope(fast + h / 2 * f1, slow + h / 2 * s1);
            var (f3, s3) = Slope(fast + h / 2 * f2, slow + h / 2 * s2);
            var (f4, s4) = Slope(fast + h * f3, slow + h * s3);
            (fast, slow) = (fast + h / 6 * (f1 + 2 * f2 + 2 * f3 + f4), slow + h / 6 * (s1 + 2 * s2 + 2 * s3 + s4));
        }
        return (fast, slow);
    }
}
