using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Emission;

/// <summary>
/// Explains the parameter set of an emission model in the same form as any other set of coefficients.
/// </summary>
public static class EmissionExplanation
{
    private const string NoUnit = "1";

    private const string Region = "not bound to a region";

    public static ExplainedSet Of(EmissionSet set) =>
        new(
            set.Id,
            $"{set.Title}. {set.Source}",
            Region,
            "ammonia-emission",
            [$"Made for {string.Join(", ", set.Methods.Select(Words.Of))}."],
            null,
            [.. set.Terms.Select(term => Of(term, set)), .. set.Centres.Select(centre => Of(centre, set))]
        );

    private static CoefficientExplanation Of(EmissionTerm term, EmissionSet set) =>
        Explain(
            set,
            $"{Words.Of(term.Parameter)}/{Words.Of(term.Predictor)}",
            $"what {Words.Of(term.Predictor)} adds to parameter {Words.Of(term.Parameter)} of the two-pool model",
            term.Value,
            term.Unit,
            term.Place,
            term.Mark,
            term.Note
        );

    private static CoefficientExplanation Of(EmissionCentre centre, EmissionSet set) =>
        Explain(
            set,
            $"centre/{Words.Of(centre.Predictor)}",
            $"the {Words.Of(centre.Predictor)} at which it adds nothing",
            centre.Value,
            centre.Unit,
            centre.Place,
            centre.Mark,
            null
        );

    private static CoefficientExplanation Explain(
        EmissionSet set,
        string name,
        string meaning,
        double value,
        string unit,
        string place,
        SourceMark mark,
        string? note
    ) =>
        new(
            name,
            set.Id,
            meaning,
            Coefficient.Plain(value),
            unit == NoUnit ? "(no unit)" : unit,
            set.Source,
            place,
            CoefficientExplanation.InWords(mark),
            ["always"],
            null,
            note,
            Region,
            null
        );
}
