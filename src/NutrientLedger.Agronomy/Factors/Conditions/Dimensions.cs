using System.Collections.Immutable;
using System.Globalization;

namespace NutrientLedger.Agronomy.Factors.Conditions;

/// <summary>The circumstances that a coefficient may depend on, as named in a factor file.</summary>
public static class Dimensions
{
    /// <summary>
    /// Which end of a published range to take. The reader of a coefficient chooses it; no condition depends on it.
    /// </summary>
    public const string RangeEnd = "rangeEnd";

    /// <summary>Circumstances given in words, with the known words. An empty list allows any word.</summary>
    public static readonly ImmutableDictionary<string, ImmutableArray<string>> InWords = new Dictionary<
        string,
        ImmutableArray<string>
    >
    {
        ["animal"] = Words.All<Animal>(),
        ["treatment"] = Words.All<Treatment>(),
        ["form"] = Words.All<ManureForm>(),
        ["method"] = Words.All<ApplicationMethod>(),
        ["cover"] = Words.All<GroundCover>(),
        ["weather"] = Words.All<WeatherClass>(),
        ["crop"] = [],
        ["part"] = Words.All<HarvestedPart>(),
    }.ToImmutableDictionary();

    /// <summary>Circumstances given in numbers.</summary>
    public static readonly ImmutableArray<string> InNumbers = ["dryMatterPercent", "workedInHours", "year"];

    /// <summary>How never is written where hours are given as a word.</summary>
    private const string Never = "never";

    private static readonly ImmutableArray<string> InOrder =
    [
        "animal",
        "treatment",
        "form",
        "dryMatterPercent",
        "method",
        "workedInHours",
        "cover",
        "weather",
        "crop",
        "part",
        "year",
    ];

    /// <summary>What was given of some circumstances, by name and word; numbers have at most three decimals.</summary>
    public static ImmutableSortedDictionary<string, string> Given(
        Circumstances circumstances,
        IEnumerable<string> dimensions
    ) =>
        dimensions
            .Select(dimension => KeyValuePair.Create(dimension, Spelled(circumstances, dimension)!))
            .Where(given => given.Value is not null)
            .ToImmutableSortedDictionary(StringComparer.Ordinal);

    /// <summary>Given circumstances as part of a sentence.</summary>
    public static string Describe(IReadOnlyDictionary<string, string> given)
    {
        var words = InOrder.Where(given.ContainsKey).Select(dimension => Describe(dimension, given[dimension]));
        return string.Join(", ", words) is { Length: > 0 } text ? text : "nothing given";
    }

    /// <summary>The name of a circumstance in a sentence.</summary>
    public static string InASentence(string dimension) =>
        dimension switch
        {
            "dryMatterPercent" => "dry matter",
            "workedInHours" => "hours until worked in",
            _ => dimension,
        };

    private static string? Spelled(Circumstances circumstances, string dimension) =>
        circumstances.Number(dimension) switch
        {
            null => circumstances.Word(dimension),
            double.PositiveInfinity => Never,
            { } number => number.ToString("0.###", CultureInfo.InvariantCulture),
        };

    private static string Describe(string dimension, string given) =>
        dimension switch
        {
            "workedInHours" => given == Never ? "never worked in" : $"worked in after {given} h",
            "dryMatterPercent" => $"{given} % dry matter",
            "year" => $"year {given}",
            _ => given,
        };
}
