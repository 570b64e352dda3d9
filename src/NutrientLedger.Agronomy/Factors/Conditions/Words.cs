using System.Collections.Immutable;
using System.Text.Json;

namespace NutrientLedger.Agronomy.Factors.Conditions;

/// <summary>How the names of the trade are spelled in a factor file: in small letters, the words joined by hyphens.</summary>
public static class Words
{
    /// <summary>The spelling of one name: <c>TrailingHose</c> is <c>trailing-hose</c>.</summary>
    public static string Of<T>(T name)
        where T : struct, Enum => JsonNamingPolicy.KebabCaseLower.ConvertName(name.ToString());

    /// <summary>The spellings of all names of a kind.</summary>
    public static ImmutableArray<string> All<T>()
        where T : struct, Enum => [.. Enum.GetValues<T>().Select(Of)];

    /// <summary>The name that is spelled so, or nothing.</summary>
    public static T? Parse<T>(string word)
        where T : struct, Enum
    {
        foreach (var name in Enum.GetValues<T>())
            if (Of(name) == word)
                return name;
        return null;
    }
}
