using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors;

namespace NutrientLedger.Agronomy.Emission;

/// <summary>One figure of a parameter set: what it multiplies and to which coefficient it is added.</summary>
public sealed record EmissionTerm(
    EmissionCoefficient Coefficient,
    EmissionPredictor Predictor,
    double Value,
    string Unit,
    string Place,
    FigureMark Mark,
    string? Note = null
);

/// <summary>The value of a predictor at which its terms count nothing; a predictor that is not told stands there.</summary>
public sealed record EmissionCentre(
    EmissionPredictor Predictor,
    double Value,
    string Unit,
    string Place,
    FigureMark Mark
);

/// <summary>A parameter set of the two-pool emission model, with the methods of spreading that it was made for.</summary>
public sealed record EmissionSet(
    string Id,
    string Title,
    string Source,
    ImmutableArray<ApplicationMethod> Methods,
    ImmutableArray<EmissionCentre> Centres,
    ImmutableArray<EmissionTerm> Terms
)
{
    internal double Share(EmissionCoefficient coefficient, Func<EmissionPredictor, double?> told) =>
        1 / (1 + Math.Exp(-Sum(coefficient, told)));

    internal double PerHour(EmissionCoefficient coefficient, Func<EmissionPredictor, double?> told) =>
        Math.Pow(10, Sum(coefficient, told));

    private double Sum(EmissionCoefficient coefficient, Func<EmissionPredictor, double?> told) =>
        Terms
            .Where(term => term.Coefficient == coefficient)
            .Sum(term => told(term.Predictor) is { } value ? term.Value * (value - Centre(term.Predictor)) : 0);

    private double Centre(EmissionPredictor predictor) =>
        Centres.FirstOrDefault(centre => centre.Predictor == predictor)?.Value ?? 0;
}
