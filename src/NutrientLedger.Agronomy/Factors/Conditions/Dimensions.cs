using System.Collections.Immutable;
using System.Globalization;

namespace NutrientLedger.Agronomy.Factors.Conditions;

/// <summary>The circumstances a figure may depend on, as they are named in a factor file.</summary>
public static class Dimensions
{
    /// <summary>Not a circumstance of the figures but of their reader: which end of a published range to take.</summary>
    public const string RangeEnd = "rangeEnd";

    /// <summary>Those that are told in words, with the words known; no words listed means any word.</summary>
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

    /// <summary>Those that are told in numbers.</summary>
    public static readonly ImmutableArray<string> InNumbers = ["dryMatterPercent", "workedInHours", "year"];

    /// <summary>The circumstances in the words of a sentence, only those of the named dimensions.</summary>
    public static string Describe(Circumstances circumstances, IEnumerable<string> dimensions)
    {
        var given = dimensions.Select(dimension => Describe(circumstances, dimension)).OfType<string>();
        return string.Join(", ", given) is { Length: > 0 } text ? text : "nothing given";
    }

    /// <summary>How a sentence names a circumstance.</summary>
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
