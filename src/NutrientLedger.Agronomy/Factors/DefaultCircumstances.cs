using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>
/// The circumstances of a farm's manure in general, which no machine reports. They are given once, as name and word in
/// the spelling of the factor files. Method, delay and dry matter come with each application.
/// </summary>
public static class DefaultCircumstances
{
    /// <summary>Every name that may be given, with its allowed words.</summary>
    public static readonly ImmutableSortedDictionary<string, ImmutableArray<string>> Known = new Dictionary<
        string,
        ImmutableArray<string>
    >
    {
        ["animal"] = Words.All<Animal>(),
        ["treatment"] = Words.All<Treatment>(),
        ["form"] = Words.All<ManureForm>(),
        ["cover"] = Words.All<GroundCover>(),
        ["weather"] = Words.All<WeatherClass>(),
        [Dimensions.RangeEnd] = Words.All<RangeEnd>(),
    }.ToImmutableSortedDictionary(StringComparer.Ordinal);

    /// <summary>
    /// The circumstances given. An unknown word counts as missing, so that no coefficient that needs it is used.
    /// </summary>
    public static Circumstances Of(IReadOnlyDictionary<string, string> given) =>
        new()
        {
            Animal = Word<Animal>(given, "animal"),
            Treatment = Word<Treatment>(given, "treatment"),
            Form = Word<ManureForm>(given, "form"),
            Cover = Word<GroundCover>(given, "cover"),
            Weather = Word<WeatherClass>(given, "weather"),
            RangeEnd = Word<RangeEnd>(given, Dimensions.RangeEnd),
        };

    /// <summary>The circumstances that a set still needs for an application in its first year.</summary>
    public static ImmutableArray<string> Missing(FactorSet set, Circumstances circumstances)
    {
        var first = circumstances with { Year = 1 };
        return
        [
            .. SchemeKinds
                .Of(set.Scheme)
                // The share of ammonium is only needed where ammonium was not analysed.
                .Where(kind => kind != CoefficientKind.AmmoniumShare)
                .Select(kind => set.Unspecified(kind, first))
                // Until the method is known, it is open which circumstances matter.
                .Where(unspecified => !unspecified.Contains("method"))
                .SelectMany(unspecified => unspecified.Where(Known.ContainsKey))
                .Distinct()
                .Order(StringComparer.Ordinal),
        ];
    }

    private static T? Word<T>(IReadOnlyDictionary<string, string> given, string name)
        where T : struct, Enum => given.TryGetValue(name, out var word) ? Words.Parse<T>(word) : null;
}
