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

    /// <summary>The named circumstances as part of a sentence.</summary>
    public static string Describe(Circumstances circumstances, IEnumerable<string> dimensions)
    {
        var given = dimensions.Select(dimension => Describe(circumstances, dimension)).OfType<string>();
        return string.Join(", ", given) is { Length: > 0 } text ? text : "nothing given";
    }

    /// <summary>The name of a circumstance in a sentence.</summary>
    public static string InASentence(string dimension) =>
        dimension switch
        {
            "dryMatterPercent" => "dry matter",
            "workedInHours" => "hours until worked in",
            _ => dimension,
        };

    private static string? Describe(Circumstances circumstances, string dimension) =>
        (dimension, circumstances.Word(dimension), circumstances.Number(dimension)) switch
        {
            (_, { } word, _) => word,
            ("workedInHours", _, double.PositiveInfinity) => "never worked in",
            ("workedInHours", _, { } hours) => $"worked in after {Plain(hours)} h",
            ("dryMatterPercent", _, { } percent) => $"{Plain(percent)} % dry matter",
            ("year", _, { } year) => $"year {Plain(year)}",
            _ => null,
        };

    private static string Plain(double number) => number.ToString("0.###", CultureInfo.InvariantCulture);
}
