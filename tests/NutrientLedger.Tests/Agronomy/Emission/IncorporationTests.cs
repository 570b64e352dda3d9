using NutrientLedger.Agronomy.Emission;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Tests.Agronomy.Emission;

/// <summary>
/// Incorporated manure, by the differential equations of Atmospheric Environment 199:474–484 (2019), integrated in
/// small steps. How incorporation enters the model is from memory and checked against no published output. Its
/// coefficients are published (parameter set 1 of the model's public package, seen): f4 deep −3.6477259, r3 deep
/// −0.3838862.
/// </summary>
public sealed class IncorporationTests
{
    private static readonly double StaysFast = 1 / (1 + Math.Exp(3.6477259));
    private static readonly double SlowerInTheGround = Math.Pow(10, -0.3838862);

    private static readonly SpreadManure Manure = new(60, ApplicationMethod.Broadcast, DryMatterPercent: 7);
    private static readonly WeatherHour[] Weather = [.. Enumerable.Repeat(new WeatherHour(18, 3), 4)];

    [Theory]
    [InlineData(0)]
    [InlineData(0.25)]
    [InlineData(1)]
    [InlineData(1.25)]
    [InlineData(1.9)]
    [InlineData(3)]
    public void Manure_is_on_the_surface_until_incorporation_and_in_the_soil_from_then_on(double workedInAfter)
    {
        var worked = Manure with { Incorporation = new(workedInAfter, IncorporationDepth.Deep) };

        foreach (var hour in AmmoniaEmission.Run(EmissionSets.Of2019, worked, Weather).Hours)
        {
            var (fast, slow) = Expected(workedInAfter, hour.Hour);
            Assert.Equal(fast, hour.Pools.FastKilogramsPerHectare, 1e-8);
            Assert.Equal(slow, hour.Pools.SlowKilogramsPerHectare, 1e-8);
        }
    }

    // Incorporation at the very end of an hour shows in the next one.
    private static (double Fast, double Slow) Expected(double workedInAfter, int hours)
    {
        var left = AmmoniaEmission.Run(EmissionSets.Of2019, Manure, Weather);
        var onGround = left.Hours[0].Rates;
        var applied = Manure.AmmoniumNitrogenKilogramsPerHectare;
        var pools = (Fast: applied * left.FastShare, Slow: applied * (1 - left.FastShare));
        if (workedInAfter >= hours)
            return After(pools, onGround, hours);
        pools = After(pools, onGround, workedInAfter);
        pools = (pools.Fast * StaysFast, pools.Slow + pools.Fast * (1 - StaysFast));
        var inGround = onGround with { SlowPerHour = onGround.SlowPerHour * SlowerInTheGround };
        return After(pools, inGround, hours - workedInAfter);
    }

    // dF/dt = −(r1 + r2)·F, dS/dt = r2·F − r3·S by the midpoint rule with Richardson's extrapolation.
    private static (double Fast, double Slow) After((double Fast, double Slow) pools, EmissionRates rates, double hours)
    {
        var (coarse, fine) = (Steps(pools, rates, hours, 20_000), Steps(pools, rates, hours, 40_000));
        return (fine.Fast + (fine.Fast - coarse.Fast) / 3, fine.Slow + (fine.Slow - coarse.Slow) / 3);
    }

    private static (double Fast, double Slow) Steps(
        (double Fast, double Slow) pools,
        EmissionRates rates,
        double hours,
        int steps
    )
    {
        var (fast, slow) = pools;
        var leaving = rates.FastPerHour + rates.PassagePerHour;
        var h = hours / steps;
        for (var step = 0; step < steps; step++)
        {
            var middleFast = fast - h / 2 * leaving * fast;
            var middleSlow = slow + h / 2 * (rates.PassagePerHour * fast - rates.SlowPerHour * slow);
            fast -= h * leaving * middleFast;
            slow += h * (rates.PassagePerHour * middleFast - rates.SlowPerHour * middleSlow);
        }
        return (fast, slow);
    }
}
