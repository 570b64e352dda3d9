using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>
/// Where a coefficient comes from, in full: all that a reader needs to find it in its source and to judge it.
/// </summary>
public sealed record CoefficientExplanation(
    string Name,
    string SetId,
    string Meaning,
    string Value,
    string Unit,
    string Source,
    string Place,
    string Mark,
    ImmutableArray<string> HoldsWhen,
    double? AtDryMatterPercent,
    string? Note,
    string Region,
    string? Address
)
{
    public static CoefficientExplanation Of(Coefficient coefficient, FactorSet set) =>
        new(
            coefficient.Name,
            set.Id,
            coefficient.Kind.Meaning,
            coefficient.ValueInWords,
            coefficient.Unit,
            coefficient.Source,
            coefficient.Place,
            InWords(coefficient.Mark),
            [.. coefficient.When.Select(condition => condition.ToString())],
            coefficient.AtDryMatterPercent,
            coefficient.Note,
            set.Region,
            set.Address
        );

    /// <summary>The meaning of a mark, as text for a reader.</summary>
    public static string InWords(SourceMark mark) =>
        mark switch
        {
            SourceMark.Published => "published: read in a copy of the source",
            SourceMark.FromMemory => "from memory: check it against the source before relying on it",
            SourceMark.CommonPractice => "common practice of the trade, no source",
            SourceMark.Derived => "derived from other coefficients, not printed in any source",
            SourceMark.OwnValue => "the farm's own value",
            _ => throw new ArgumentOutOfRangeException(nameof(mark), mark, "An unknown mark."),
        };
}

/// <summary>A set of coefficients as shown to a reader, whatever its purpose.</summary>
public sealed record ExplainedSet(
    string Id,
    string Source,
    string Region,
    string Scheme,
    ImmutableArray<string> Notes,
    string? Address,
    ImmutableArray<CoefficientExplanation> Coefficients
)
{
    public static ExplainedSet Of(FactorSet set) =>
        new(
            set.Id,
            set.Source,
            set.Region,
            Words.Of(set.Scheme),
            set.Notes,
            set.Address,
            [.. set.Coefficients.Select(coefficient => CoefficientExplanation.Of(coefficient, set))]
        );

    /// <summary>The coefficients with that name in all the given sets.</summary>
    public static ImmutableArray<CoefficientExplanation> Find(string name, IEnumerable<ExplainedSet> sets) =>
        [.. sets.SelectMany(set => set.Coefficients.Where(coefficient => coefficient.Name == name))];
}
