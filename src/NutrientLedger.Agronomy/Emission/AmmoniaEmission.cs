using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Emission;

/// <summary>
/// The state at the end of an hour after spreading, and the emission since spreading (kg N per ha and share of ammonium
/// N).
/// </summary>
public readonly record struct EmissionHour(
    int Hour,
    AmmoniumPools Pools,
    EmissionRates Rates,
    double EmittedKilogramsPerHectare,
    double EmittedFraction
);

/// <summary>
/// The model's output for one application. Incorporation is modelled from memory and checked against no published
/// output. A run with incorporation is marked as unverified.
/// </summary>
public sealed record EmissionRun(
    EmissionSet Set,
    double FastShare,
    ImmutableArray<EmissionHour> Hours,
    bool IncorporationIsUnverified
);

/// <summary>
/// Hourly ammonia loss from liquid manure, in kg N per ha, by the two-pool model of Atmospheric Environment 199:474–484
/// (2019). It uses a published parameter set. It adds detail to the table factors and is never a measurement.
/// </summary>
public static class AmmoniaEmission
{
    /// <param name="set">The parameters. A set covers certain application methods only.</param>
    /// <param name="manure">The manure that was spread, at hour 0.</param>
    /// <param name="weather">One item for every hour after spreading, in order.</param>
    /// <exception cref="ArgumentException">
    /// The set has no parameters for the method, or a value is outside its range.
    /// </exception>
    public static EmissionRun Run(EmissionSet set, SpreadManure manure, IReadOnlyList<WeatherHour> weather)
    {
        if (!set.Methods.Contains(manure.Method))
            throw new ArgumentException(
                $"{set.Title} has no parameters for {Words.Of(manure.Method)}; it covers {string.Join(", ", set.Methods.Select(Words.Of))}."
            );
        manure.Check();
        var applied = manure.AmmoniumNitrogenKilogramsPerHectare;
        var fastShare = set.Share(EmissionParameter.F0, manure.Predictor);
        var pools = new AmmoniumPools(applied * fastShare, applied * (1 - fastShare));
        var hours = ImmutableArray.CreateBuilder<EmissionHour>(weather.Count);
        var rain = 0.0;
        for (var hour = 0; hour < weather.Count; hour++)
        {
            weather[hour].Check();
            rain += weather[hour].RainMillimetres;
            (pools, var rates) = AfterHour(set, manure, pools, hour, weather[hour], rain);
            var emitted = applied - pools.SumKilogramsPerHectare;
            hours.Add(new(hour + 1, pools, rates, emitted, applied == 0 ? 0 : emitted / applied));
        }
        return new(set, fastShare, hours.ToImmutable(), manure.Incorporation?.AfterHours < weather.Count);
    }

    // Manure incorporated within the hour lies on the ground for a part of it, and in the ground for the rest.
    private static (AmmoniumPools Pools, EmissionRates Rates) AfterHour(
        EmissionSet set,
        SpreadManure manure,
        AmmoniumPools pools,
        int hour,
        WeatherHour weather,
        double rain
    )
    {
        var onGround = Rates(set, predictor => PredictorValue(predictor, manure, weather, rain, null));
        if (manure.Incorporation is not { } incorporation || incorporation.AfterHours >= hour + 1)
            return (pools.After(onGround, 1), onGround);

        double? WorkedIn(EmissionPredictor predictor) =>
            PredictorValue(predictor, manure, weather, rain, incorporation.Depth);
        var inGround = Rates(set, WorkedIn);
        if (incorporation.AfterHours < hour)
            return (pools.After(inGround, 1), inGround);
        var before = incorporation.AfterHours - hour;
        var turned = pools.After(onGround, before).WorkedIn(set.Share(EmissionParameter.F4, WorkedIn));
        return (turned.After(inGround, 1 - before), inGround);
    }

    private static EmissionRates Rates(EmissionSet set, Func<EmissionPredictor, double?> valueOf) =>
        new(
            set.PerHour(EmissionParameter.R1, valueOf),
            set.PerHour(EmissionParameter.R2, valueOf),
            set.PerHour(EmissionParameter.R3, valueOf)
        );

    private static double? PredictorValue(
        EmissionPredictor predictor,
        SpreadManure manure,
        WeatherHour weather,
        double rain,
        IncorporationDepth? depth
    ) =>
        predictor switch
        {
            EmissionPredictor.AirTemperatureCelsius => weather.AirTemperatureCelsius,
            EmissionPredictor.WindMetresPerSecond => weather.WindMetresPerSecond,
            EmissionPredictor.RainMillimetresPerHour => weather.RainMillimetres,
            EmissionPredictor.RainMillimetresSoFar => rain,
            EmissionPredictor.DeepIncorporation => depth == IncorporationDepth.Deep ? 1 : 0,
            EmissionPredictor.ShallowIncorporation => depth == IncorporationDepth.Shallow ? 1 : 0,
            _ => manure.Predictor(predictor),
        };
}
