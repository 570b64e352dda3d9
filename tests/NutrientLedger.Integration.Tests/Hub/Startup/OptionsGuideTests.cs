using NutrientLedger.Hub.Startup;
using NutrientLedger.Hub.Startup.Options;
using NutrientLedger.Integration.Tests.Demo;

namespace NutrientLedger.Integration.Tests.Hub.Startup;

/// <summary>The guide's table of options matches the hub.</summary>
public sealed class OptionsGuideTests
{
    private static readonly string[][] Rows =
    [
        .. File.ReadLines(Path.Combine(ExpectedSeason.Folder, "../src/NutrientLedger.Web/Guide/options.md"))
            .Where(line => line.StartsWith("| `", StringComparison.Ordinal))
            .Select(line => line.Trim('|').Split('|', StringSplitOptions.TrimEntries)),
    ];

    public static TheoryData<string> Keys => [.. HubOption.All.Select(option => option.Key)];

    [Theory]
    [MemberData(nameof(Keys))]
    public void Every_option_is_in_the_table_with_its_range_default_and_purpose(string key)
    {
        var option = HubOption.All.Single(option => option.Key == key);
        var row = Assert.Single(Rows, row => row[0] == $"`{key}`");
        Assert.Equal(5, row.Length);
        Assert.Equal(CommandLine.Names.TryGetValue(key, out var name) ? $"`{name}`" : "", row[1]);
        if (option.Range is { } range)
            Assert.Equal(($"{range.Minimum} to {range.Maximum}", $"{option.Default}"), (row[2], row[3]));
        Assert.All(row[2..], cell => Assert.NotEmpty(cell));
    }

    [Fact]
    public void The_table_names_no_option_that_does_not_exist() =>
        Assert.Equal(HubOption.All.Select(option => $"`{option.Key}`"), Rows.Select(row => row[0]));
}
