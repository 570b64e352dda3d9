using System.Collections.Immutable;
using System.Text.Json;
using System.Text.RegularExpressions;
using NutrientLedger.Agronomy.Written;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>Reads when a figure holds; only circumstances that its kind can depend on, in words that are known.</summary>
internal static partial class WrittenConditions
{
    /// <summary>One condition or a list of which any may hold; none written means always.</summary>
    public static ImmutableArray<Condition> Conditions(
        this WrittenObject figure,
        FigureKind kind,
        ProblemSheet problems
    )
    {
        var when = figure.Optional("when");
        var items =
            when?.Kind == JsonTokenType.StartArray ? when.Items
            : when is null ? []
            : [when];
        if (items.Count == 0)
            RequireNames(kind, Condition.Always, figure);
        return items.Count == 0
            ? [Condition.Always]
            : [.. items.Select(item => Read(new WrittenObject($"{figure.What}, when", item, problems), kind))];
    }

    private static Condition Read(WrittenObject from, FigureKind kind)
    {
        var words = ImmutableSortedDictionary.CreateBuilder<string, ImmutableArray<string>>();
        var numbers = ImmutableSortedDictionary.CreateBuilder<string, Interval>();
        foreach (var dimension in kind.DependsOn)
            if (Dimensions.InNumbers.Contains(dimension))
            {
                if (from.Range(dimension) is { } range)
                    numbers.Add(dimension, range);
            }
            else if (from.Texts(dimension) is { IsEmpty: false } told)
            {
                RequireKnown(from, dimension, told);
                words.Add(dimension, told);
            }
        from.NothingElse();
        var condition = new Condition(words.ToImmutable(), numbers.ToImmutable());
        RequireNames(kind, condition, from);
        return condition;
    }

    private static void RequireKnown(WrittenObject from, string dimension, ImmutableArray<string> told)
    {
        var known = Dimensions.InWords[dimension];
        foreach (var word in told)
            if (known.IsEmpty && !SmallLetters().IsMatch(word))
                from.Problem(dimension, $"write \"{word}\" in small letters and digits, joined by hyphens.");
            else if (!known.IsEmpty && !known.Contains(word))
                from.Problem(
                    dimension,
                    $"\"{word}\" is not a known {dimension}; known are {string.Join(", ", known)}."
                );
    }

    private static void RequireNames(FigureKind kind, Condition condition, WrittenObject from)
    {
        foreach (var dimension in kind.MustName.Where(dimension => !condition.Names(dimension)))
            from.Problem("when", $"{kind.Name} must say for which {dimension} it holds.");
    }

    [GeneratedRegex("^[a-z0-9]+(-[a-z0-9]+)*$")]
    private static partial Regex SmallLetters();
}
