using System.Text.RegularExpressions;

namespace NutrientLedger.Architecture.Tests;

/// <summary>Published numbers belong in a factor file with their source, not in code.</summary>
public partial class PublishedNumbersTests
{
    private static readonly string[] Folders = ["Factors", "Nutrients", "Harvest", "Value"];

    [Fact]
    public void No_published_number_stands_in_code()
    {
        var found = Repository
            .Files("*.cs")
            .Where(path =>
                Folders.Any(folder =>
                    path.StartsWith($"src/NutrientLedger.Agronomy/{folder}/", StringComparison.Ordinal)
                )
            )
            .SelectMany(path => Numbers(path).Select(number => $"{path}: {number}"))
            .ToArray();
        Assert.True(
            found.Length == 0,
            $"Move the number to a file in src/NutrientLedger.Agronomy/Factors/Sets, with its source: {string.Join(", ", found)}"
        );
    }

    [Fact]
    public void The_folders_that_are_searched_exist() =>
        Assert.All(
            Folders,
            folder =>
                Assert.True(Directory.Exists(Path.Combine(Repository.Root, "src/NutrientLedger.Agronomy", folder)))
        );

    /// <summary>
    /// Numbers other than counts, steps, per cent, per thousand and rounding tolerances. Enum values are left out.
    /// </summary>
    private static IEnumerable<string> Numbers(string path) =>
        File.ReadLines(Path.Combine(Repository.Root, path))
            .Select(line => NotCounted().Replace(line, ""))
            .SelectMany(line => Number().Matches(line).Select(match => match.Value))
            .Where(number => number is not ("0" or "1" or "2" or "3" or "100" or "1000" or "1e-9"));

    [GeneratedRegex("""//.*$|\$?"(\\.|[^"\\])*"|'.'|^\s*\w+ = \d+,$|is >= 1800 and <= 2999""")]
    private static partial Regex NotCounted();

    [GeneratedRegex(@"(?<![\w.])\d[\d_]*(\.\d+)?(e-?\d+)?")]
    private static partial Regex Number();
}
