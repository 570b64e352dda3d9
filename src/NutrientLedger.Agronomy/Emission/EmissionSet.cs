using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Emission;

/// <summary>One coefficient of a parameter set: the predictor it multiplies and the parameter it is added to.</summary>
public sealed record EmissionTerm(
    EmissionParameter Parameter,
    EmissionPredictor Predictor,
    double Value,
    string Unit,
    string Place,
    SourceMark Mark,
    string? Note = null
);

/// <summary>
/// The value of a predictor at which its terms add nothing. A predictor that is not given has this value.
/// </summary>
public sealed record EmissionCentre(
    EmissionPredictor Predictor,
    double Value,
    string Unit,
    string Place,
    SourceMark Mark
);

/// <summary>A parameter set of the two-pool emission model, with the application methods it was made for.</summary>
public sealed record EmissionSet(
    string Id,
    string Title,
    string Source,
    ImmutableArray<ApplicationMethod> Methods,
    ImmutableArray<EmissionCentre> Centres,
    ImmutableArray<EmissionTerm> Terms
)
{
    internal double Share(EmissionParameter parameter, Func<EmissionPredictor, double?> valueOf) =>
        1 / (1 + Math.Exp(-Sum(parameter, valueOf)));

    internal double PerHour(EmissionParameter parameter, Func<EmissionPredictor, double?> valueOf) =>
        Math.Pow(10, Sum(parameter, valueOf));

    private double Sum(EmissionParameter parameter, Func<EmissionPredictor, double?> valueOf) =>
        Terms
            .Where(term => term.Parameter == parameter)
            .Sum(term => valueOf(term.Predictor) is { } value ? term.Value * (value - Centre(term.Predictor)) : 0);

    private double Centre(EmissionPredictor predictor) =>
        Centres.FirstOrDefault(centre => centre.Predictor == predictor)?.Value ?? 0;
}
