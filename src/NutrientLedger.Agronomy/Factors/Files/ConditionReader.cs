using System.Collections.Immutable;
using System.Text.Json;
using System.Text.RegularExpressions;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Json;

namespace NutrientLedger.Agronomy.Factors.Files;

/// <summary>
/// Reads when a coefficient applies. Only known words are allowed, and only circumstances that its kind can depend on.
/// </summary>
internal static partial class ConditionReader
{
    /// <summary>One condition, or a list of which any may apply. Without one, the coefficient always applies.</summary>
    public static ImmutableArray<Condition> Conditions(
        this JsonObjectReader coefficient,
        CoefficientKind kind,
        FileProblems problems
    )
    {
        var when = coefficient.Optional("when");
        var items =
            when?.Kind == JsonTokenType.StartArray ? when.Items
            : when is null ? []
            : [when];
        if (items.Count == 0)
            RequireNames(kind, Condition.Always, coefficient);
        return items.Count == 0
            ? [Condition.Always]
            : [.. items.Select(item => Read(new JsonObjectReader($"{coefficient.Label}, when", item, problems), kind))];
    }

    private static Condition Read(JsonObjectReader from, CoefficientKind kind)
    {
        var words = ImmutableSortedDictionary.CreateBuilder<string, ImmutableArray<string>>();
        var numbers = ImmutableSortedDictionary.CreateBuilder<string, Interval>();
        foreach (var dimension in kind.DependsOn)
            if (Dimensions.InNumbers.Contains(dimension))
            {
                if (from.Range(dimension) is { } range)
                    numbers.Add(dimension, range);
            }
            else if (from.Texts(dimension) is { IsEmpty: false } given)
            {
                RequireKnown(from, dimension, given);
                words.Add(dimension, given);
            }
        from.RejectUnknownMembers();
        var condition = new Condition(words.ToImmutable(), numbers.ToImmutable());
        RequireNames(kind, condition, from);
        return condition;
    }

    private static void RequireKnown(JsonObjectReader from, string dimension, ImmutableArray<string> given)
    {
        var known = Dimensions.InWords[dimension];
        foreach (var word in given)
            if (known.IsEmpty && !SmallLetters().IsMatch(word))
                from.AddProblem(dimension, $"write \"{word}\" in small letters and digits, joined by hyphens.");
            else if (!known.IsEmpty && !known.Contains(word))
                from.AddProblem(
                    dimension,
                    $"\"{word}\" is not a known {dimension}; the known words are {string.Join(", ", known)}."
                );
    }

    private static void RequireNames(CoefficientKind kind, Condition condition, JsonObjectReader from)
    {
        foreach (var dimension in kind.MustName.Where(dimension => !condition.Names(dimension)))
            from.AddProblem("when", $"{kind.Name} must say for which {dimension} it applies.");
    }

    [GeneratedRegex("^[a-z0-9]+(-[a-z0-9]+)*$")]
    private static partial Regex SmallLetters();
}
