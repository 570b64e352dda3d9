using System.Text;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Factors.Files;

namespace NutrientLedger.Tests.Agronomy.Factors.Files;

/// <summary>
/// A farm's own factor file: it is read when it is right. Otherwise every error is reported with its line.
/// </summary>
public sealed class FactorSetFileTests
{
    private const string Head = """
        { "id": "ours", "title": "Our figures", "publisher": "The farm", "region": "here", "scheme": "ammonium-and-organic",
          "coefficients": [

        """;

    [Fact]
    public void A_farm_can_add_a_set_of_its_own()
    {
        var set = Read(
            Coefficient("ammonium-retained/injected", "0.95", "\"method\": \"sweep-injection\""),
            """{ "name": "organic-nitrogen-available/year-1", "low": 0.2, "high": 0.4, "unit": "of organic N", "place": "trial 2025", "mark": "own value", "when": { "year": 1 } }"""
        ).Set!;
        Assert.Equal(("ours", Scheme.AmmoniumAndOrganic, 2), (set.Id, set.Scheme, set.Coefficients.Length));
        Assert.Equal("Our figures, The farm", set.Coefficients[0].Source);
        var injected = set.Find(CoefficientKind.AmmoniumRetained, new() { Method = ApplicationMethod.SweepInjection });
        Assert.Equal(0.95, injected.Used!.Value);
        Assert.True(set.Coefficients[1].IsRange);
        Assert.Equal(SourceMark.OwnValue, set.Coefficients[1].Mark);
    }

    [Fact]
    public void All_errors_are_named_at_once_each_with_its_line()
    {
        var reading = Read(
            Coefficient("ammonium-retained/a", "1.2", "\"method\": \"broadcast\""),
            Coefficient("ammonium-retaned/b", "0.5", "\"method\": \"broadcast\""),
            Coefficient("ammonium-retained/c", "0.5", "\"method\": \"flung\""),
            Coefficient("ammonium-retained/d", "0.5", "\"workedInHours\": \"(48,24]\""),
            Coefficient("ammonium-retained/e", "0.5", "\"crop\": \"corn\""),
            """{ "name": "organic-nitrogen-available", "value": 0.3, "unit": "of total N", "place": "p. 1", "mark": "heard" }""",
            """{ "name": "ammonium-share", "low": 0.8, "high": 0.2, "unit": "of total N", "place": "p. 1", "mark": "derived", "colour": 3 }""",
            """{ "name": "ammonium-share", "low": 0.8, "unit": "of total N", "place": "p. 1", "mark": "derived" }"""
        );
        Assert.Null(reading.Set);
        (int Line, string Part)[] expected =
        [
            (3, "\"value\" must be a number from 0 to 1, not 1.2."),
            (4, "did you mean ammonium-retained?"),
            (5, "\"flung\" is not a known method; the known words are broadcast, trailing-hose"),
            (6, "\"workedInHours\" must be a number, \"never\" or a range"),
            (7, "\"crop\" is not known here; the known names are animal"),
            (8, "\"of total N\" is not a unit of organic-nitrogen-available; use of organic N."),
            (8, "\"mark\" must be one of published, from-memory, common-practice"),
            (8, "organic-nitrogen-available must say for which year it applies."),
            (9, "\"high\" must be above \"low\"."),
            (9, "\"colour\" is not known here"),
            (10, "give a \"value\", or"),
        ];
        Assert.Equal(expected.Select(fault => fault.Line), reading.Problems.Select(problem => problem.Line));
        Assert.All(expected.Zip(reading.Problems), pair => Assert.Contains(pair.First.Part, pair.Second.Problem));
    }

    [Fact]
    public void Two_coefficients_may_not_have_the_same_circumstances()
    {
        var reading = Read(
            Coefficient("ammonium-retained/a", "0.5", "\"workedInHours\": \"[0,24]\""),
            Coefficient("ammonium-retained/b", "0.6", "\"workedInHours\": \"[24,48]\", \"weather\": \"warm-dry\""),
            Coefficient("ammonium-retained/c", "0.7", "\"workedInHours\": \"(48,never]\""),
            Coefficient("ammonium-retained/c", "0.7", "\"workedInHours\": \"(48,never]\"")
        );
        Assert.Equal([4, 6], reading.Problems.Select(problem => problem.Line));
        Assert.Contains(
            "ammonium-retained/a (line 3) applies in some of the same circumstances",
            reading.Problems[0].Problem
        );
        Assert.Contains("line 5 already has this name", reading.Problems[1].Problem);
    }

    [Fact]
    public void The_years_may_not_give_more_than_was_applied()
    {
        static string Organic(string name, double value, string when) =>
            $$"""{ "name": "organic-nitrogen-available/{{name}}", "value": {{value}}, "unit": "of organic N", "place": "p. 1", "mark": "derived", "when": { {{when}} } }""";
        var swine = Organic("swine/year-1", 0.6, "\"animal\": \"swine\", \"year\": 1");
        var dairy = Organic("dairy/year-2", 0.5, "\"animal\": \"dairy\", \"year\": 2");
        var later = Organic("later", 0.2, "\"year\": \"[3,4]\"");
        Assert.NotNull(Read(swine, dairy, later).Set);
        var fault = Assert.Single(Read(swine, dairy, later, Organic("any/year-5", 0.1, "\"year\": 5")).Problems);
        Assert.Equal(6, fault.Line);
        Assert.Contains(
            "swine/year-1, organic-nitrogen-available/later, organic-nitrogen-available/any/year-5: over",
            fault.Problem
        );
    }

    [Fact]
    public void A_set_without_its_description_is_rejected_with_what_is_missing()
    {
        var reading = FactorSetFile.Read(
            "ours.json",
            Encoding.UTF8.GetBytes("{\n \"id\": \"ours\",\n \"year\": 26.5\n}")
        );
        Assert.Equal(
            ["coefficients", "publisher", "region", "scheme", "title", "year"],
            reading.Problems.Select(problem => problem.Problem.Split('"')[3]).Order()
        );
        Assert.Equal(3, reading.Problems.Single(problem => problem.Problem.Contains("\"year\"")).Line);
        Assert.All(reading.Problems, problem => Assert.Equal("ours.json", problem.File));
    }

    [Theory]
    [InlineData("")]
    [InlineData("not json")]
    [InlineData("{\n\"id\": ")]
    [InlineData("[1, 2]")]
    [InlineData("\"text\"")]
    public void A_file_that_is_no_factor_file_is_rejected_without_an_exception(string text)
    {
        var reading = FactorSetFile.Read("ours.json", Encoding.UTF8.GetBytes(text));
        Assert.Null(reading.Set);
        Assert.NotEmpty(reading.Problems);
    }

    /// <summary>One coefficient per line, the first on line 3.</summary>
    private static FactorSetReadResult Read(params string[] coefficients) =>
        FactorSetFile.Read("ours.json", Encoding.UTF8.GetBytes(Head + string.Join(",\n", coefficients) + "\n]}"));

    private static string Coefficient(string name, string value, string when) =>
        $$"""{ "name": "{{name}}", "value": {{value}}, "unit": "of ammonium N", "place": "p. 1", "mark": "published", "when": { {{when}} } }""";
}
