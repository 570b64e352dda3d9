using System.Collections.Immutable;
using System.Globalization;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>
/// The figures that one publisher's guidance (or a farm's own file) gives, with the scheme that puts them to use. A farm picks a
/// set; whatever is computed with it says so.
/// </summary>
public sealed record FactorSet(
    string Id,
    string Title,
    string Publisher,
    string? Number,
    int? Year,
    string Region,
    Scheme Scheme,
    string? Address,
    ImmutableArray<string> Notes,
    ImmutableArray<string> Legumes,
    ImmutableArray<Figure> Figures
)
{
    /// <summary>Title, publisher, number and year in one line; the year once, also where the number is a date.</summary>
    public string Source
    {
        get
        {
            var year = Year?.ToString("0000", CultureInfo.InvariantCulture);
            var dated = year is not null && Number?.Contains(year, StringComparison.Ordinal) == true;
            return string.Join(", ", new[] { Title, Publisher, Number, dated ? null : year }.OfType<string>());
        }
    }

    public bool Has(FigureKind kind) => Figures.Any(figure => figure.Kind == kind);

    /// <summary>The one figure of a kind that holds in these circumstances, or why there is none.</summary>
    public FigureAnswer Find(FigureKind kind, Circumstances circumstances)
    {
        if (Holding(kind, circumstances) is not { } found)
            return Missing(kind, circumstances, WhyNone(kind, circumstances));
        return found.Value(circumstances.RangeEnd) is { } value
            ? new(new(found, value, Id), null)
            : Missing(
                kind,
                circumstances,
                $"{found.Name} is published as a range, {found.ValueInWords}; say which end to take, or give one value in a set of your own"
            );
    }

    /// <summary>
    /// What the figures of a kind depend on and nobody told, by the names of a factor file; nothing when a figure holds already
    /// or when none could.
    /// </summary>
    public ImmutableArray<string> Untold(FigureKind kind, Circumstances circumstances)
    {
        if (Holding(kind, circumstances) is { } found)
            return found.Value(circumstances.RangeEnd) is null ? [Dimensions.RangeEnd] : [];
        return
        [
            .. Figures
                .Where(figure => figure.Kind == kind)
                .SelectMany(figure => figure.When.SelectMany(condition => condition.Untold(circumstances)))
                .Distinct(),
        ];
    }

    private Figure? Holding(FigureKind kind, Circumstances circumstances) =>
        Figures.FirstOrDefault(figure =>
            figure.Kind == kind && figure.When.Any(condition => condition.Fits(circumstances))
        );

    private FigureAnswer Missing(FigureKind kind, Circumstances circumstances, string why) =>
        new(null, new(Id, kind, Dimensions.Describe(circumstances, kind), why));

    private string WhyNone(FigureKind kind, Circumstances circumstances)
    {
        if (!Has(kind))
            return "the set has no figure of this kind";
        var untold = Untold(kind, circumstances).Select(Dimensions.InASentence).ToArray();
        return untold.Length > 0
            ? $"it depends on what was not told: {string.Join(", ", untold)}"
            : "the source gives none for this; add it to a set of your own";
    }
}

/// <summary>A figure as it entered a calculation: the value taken and the set it came from.</summary>
public sealed record UsedFigure(Figure Figure, double Value, string SetId);

/// <summary>A figure that a calculation needed and the set could not give, and why.</summary>
public sealed record MissingFigure(string SetId, FigureKind Kind, string Circumstances, string Why)
{
    public override string ToString() => $"{SetId} has no {Kind.Name} for {Circumstances}: {Why}.";
}

/// <summary>What a set answers when asked for a figure: the figure or, never both, its absence.</summary>
public sealed record FigureAnswer(UsedFigure? Used, MissingFigure? Missing);
