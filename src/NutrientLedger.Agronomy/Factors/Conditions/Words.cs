using System.Collections.Immutable;
using System.Text.Json;

namespace NutrientLedger.Agronomy.Factors.Conditions;

/// <summary>The spelling of enum names in a factor file: small letters, with hyphens between the words.</summary>
public static class Words
{
    /// <summary>The spelling of one name: <c>TrailingHose</c> becomes <c>trailing-hose</c>.</summary>
    public static string Of<T>(T name)
        where T : struct, Enum => JsonNamingPolicy.KebabCaseLower.ConvertName(name.ToString());

    /// <summary>The spellings of all names of an enum.</summary>
    public static ImmutableArray<string> All<T>()
        where T : struct, Enum => [.. Enum.GetValues<T>().Select(Of)];

    /// <summary>The enum value with that spelling, or null.</summary>
    public static T? Parse<T>(string word)
        where T : struct, Enum
    {
        foreach (var name in Enum.GetValues<T>())
            if (Of(name) == word)
                return name;
        return null;
    }
}
