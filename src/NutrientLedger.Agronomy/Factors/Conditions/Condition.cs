using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Factors.Conditions;

/// <summary>
/// When a coefficient applies: every circumstance named must fit. Circumstances not named may be anything.
/// </summary>
public sealed record Condition(
    ImmutableSortedDictionary<string, ImmutableArray<string>> InWords,
    ImmutableSortedDictionary<string, Interval> InNumbers
)
{
    /// <summary>Applies in all circumstances.</summary>
    public static Condition Always { get; } =
        new(
            ImmutableSortedDictionary<string, ImmutableArray<string>>.Empty,
            ImmutableSortedDictionary<string, Interval>.Empty
        );

    public bool Names(string dimension) => InWords.ContainsKey(dimension) || InNumbers.ContainsKey(dimension);

    public bool Fits(Circumstances circumstances) => Unspecified(circumstances) is [] && !Contradicts(circumstances);

    /// <summary>
    /// The circumstances that this depends on and that are not known. Empty when a known circumstance rules the
    /// condition out.
    /// </summary>
    public ImmutableArray<string> Unspecified(Circumstances circumstances) =>
        Contradicts(circumstances)
            ? []
            :
            [
                .. InWords.Keys.Where(dimension => circumstances.Word(dimension) is null),
                .. InNumbers.Keys.Where(dimension => circumstances.Number(dimension) is null),
            ];

    /// <summary>Whether some circumstances fit both, so that two coefficients would apply.</summary>
    public bool Overlaps(Condition other) =>
        InWords.All(mine => !other.InWords.TryGetValue(mine.Key, out var theirs) || mine.Value.Any(theirs.Contains))
        && InNumbers.All(mine => !other.InNumbers.TryGetValue(mine.Key, out var theirs) || mine.Value.Overlaps(theirs));

    public override string ToString()
    {
        var words = InWords.Select(given => $"{given.Key} {string.Join(" or ", given.Value)}");
        var numbers = InNumbers.Select(given => $"{Dimensions.InASentence(given.Key)} {given.Value}");
        return string.Join("; ", words.Concat(numbers)) is { Length: > 0 } text ? text : "always";
    }

    private bool Contradicts(Circumstances circumstances) =>
        InWords.Any(mine => circumstances.Word(mine.Key) is { } given && !mine.Value.Contains(given))
        || InNumbers.Any(mine => circumstances.Number(mine.Key) is { } given && !mine.Value.Contains(given));
}
