using System.Text.Json;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Hub.Commands;

/// <summary>Output of the explain command, for people and programs, about where a number comes from.</summary>
public sealed class ExplainCommandTests
{
    [Fact]
    public async Task A_coefficient_is_explained_with_source_page_and_mark()
    {
        var (code, output) = await Explain("ammonium-retained/within-2-days/cool-wet");
        Assert.Equal(0, code);
        Assert.Contains("= 0.87 of ammonium N", output);
        Assert.Contains("Agdex", output);
        Assert.Contains("table 4.3.4, p. 163", output);
        Assert.Contains("published: read in a copy of the source", output);
    }

    [Fact]
    public async Task An_unknown_coefficient_is_answered_with_the_nearest_names()
    {
        var (code, output) = await Explain("potassium-availabel/year-1");
        Assert.Equal(1, code);
        Assert.Contains("potassium-available/year-1", output);
    }

    [Fact]
    public async Task An_unknown_set_is_answered_with_the_nearest_names()
    {
        var (code, output) = await Explain("--set", "alberta");
        Assert.Equal(1, code);
        Assert.Contains("alberta-2007", output);
    }

    [Fact]
    public async Task Json_output_says_the_same()
    {
        var (code, output) = await Explain("phosphorus-available/year-1", "--json");
        Assert.Equal(0, code);
        using var printed = JsonDocument.Parse(output);
        Assert.Equal(
            ["0.7", "0.8", "0.5"],
            printed.RootElement.EnumerateArray().Select(coefficient => coefficient.GetProperty("value").GetString())
        );
    }

    [Fact]
    public async Task A_set_of_the_farms_own_is_checked_line_by_line()
    {
        var file = Path.Combine(Path.GetTempPath(), "nutrient-ledger-own-factors.json");
        await File.WriteAllTextAsync(file, "{\n  \"id\": \"ours\",\n  \"scheme\": \"by-feel\"\n}\n");
        try
        {
            var (code, output) = await Explain("--file", file, "--json");
            Assert.Equal(1, code);
            using var printed = JsonDocument.Parse(output);
            var faults = printed.RootElement.EnumerateArray().ToArray();
            Assert.Equal([1, 1, 1, 1, 3], faults.Select(fault => fault.GetProperty("line").GetInt32()));
            Assert.Contains("must be one of ammonium-and-organic", faults[^1].GetProperty("problem").GetString());
        }
        finally
        {
            File.Delete(file);
        }
    }

    private static async Task<(int Code, string Output)> Explain(params string[] arguments)
    {
        await using var hub = HubProcess.Start(["explain", .. arguments]);
        return (await hub.EndAsync(), hub.Output);
    }
}
