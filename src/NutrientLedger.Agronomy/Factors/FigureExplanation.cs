using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>Where a figure comes from, in full: everything a reader needs to find it in its source and to judge it.</summary>
public sealed record FigureExplanation(
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
    public static FigureExplanation Of(Figure figure, FactorSet set) =>
        new(
            figure.Name,
            set.Id,
            figure.Kind.Meaning,
            figure.ValueInWords,
            figure.Unit,
            figure.Source,
            figure.Place,
            InWords(figure.Mark),
            [.. figure.When.Select(condition => condition.ToString())],
            figure.AtDryMatterPercent,
            figure.Note,
            set.Region,
            set.Address
        );

    /// <summary>What a mark tells the reader.</summary>
    public static string InWords(FigureMark mark) =>
        mark switch
        {
            FigureMark.Published => "published: read in a copy of the source",
            FigureMark.FromMemory => "from memory: check it against the source before relying on it",
            FigureMark.CommonPractice => "common practice of the trade, no source",
            FigureMark.Derived => "derived from other figures, printed nowhere",
            FigureMark.OwnFigure => "the farm's own figure",
            _ => throw new ArgumentOutOfRangeException(nameof(mark), mark, "An unknown mark."),
        };
}

/// <summary>A set of figures as it is shown to a reader, whatever it is for.</summary>
public sealed record ExplainedSet(
    string Id,
    string Source,
    string Region,
    string Scheme,
    ImmutableArray<string> Notes,
    string? Address,
    ImmutableArray<FigureExplanation> Figures
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
            [.. set.Figures.Select(figure => FigureExplanation.Of(figure, set))]
        );

    /// <summary>The figures of that name, in all the sets given.</summary>
    public static ImmutableArray<FigureExplanation> Find(string name, IEnumerable<ExplainedSet> sets) =>
        [.. sets.SelectMany(set => set.Figures.Where(figure => figure.Name == name))];
}
