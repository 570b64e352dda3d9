using System.Reflection;
using System.Text;
using NutrientLedger.Hub.Commands;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Telemetry;
using NutrientLedger.Web.Import.Farms;
using NutrientLedger.Web.Import.Records;
using NutrientLedger.Web.Import.Sampling;
using Spectre.Console.Cli;

namespace NutrientLedger.Integration.Tests.Web.Import;

/// <summary>Each event definition names its source. Imports, topics and the API are checked against it.</summary>
public sealed class EventSourceTests(WebTestHost host) : IClassFixture<WebTestHost>
{
    private const string Unknown = "elsewhere";

    [Theory]
    [InlineData(EventRoute.FarmFile)]
    [InlineData(EventRoute.Rule)]
    public async Task A_farm_file_has_the_named_section(EventRoute route)
    {
        Assert.True(await IsUnknownAsync(Unknown), "The test's own question finds nothing.");
        foreach (var name in NamesOf(route))
            Assert.False(await IsUnknownAsync(name), $"No farm file has a section \"{name}\".");
    }

    [Fact]
    public void A_hand_recorded_event_has_the_named_kind()
    {
        Assert.True(IsUnknownKind(Unknown), "The test's own question finds nothing.");
        Assert.All(
            NamesOf(EventRoute.HandRecord),
            kind => Assert.False(IsUnknownKind(kind), $"No record is a \"{kind}\".")
        );
    }

    [Fact]
    public void A_file_of_laboratory_reports_has_the_named_list()
    {
        var name = Assert.Single(NamesOf(EventRoute.LaboratoryReport));
        Assert.Empty(LabFile.Read("lab.json", Encoding.UTF8.GetBytes($$"""{ "{{name}}": [] }""")).Problems.ByLine);
        Assert.NotEmpty(
            LabFile.Read("lab.json", Encoding.UTF8.GetBytes($$"""{ "{{Unknown}}": [] }""")).Problems.ByLine
        );
    }

    [Fact]
    public void A_topic_ends_in_the_named_stream()
    {
        Assert.False(WireTopic.TryParse($"agri/v1/farm/device/{Unknown}", out _, out _));
        Assert.All(
            NamesOf(EventRoute.Stream),
            stream => Assert.True(WireTopic.TryParse($"agri/v1/farm/device/{stream}", out _, out _))
        );
    }

    [DatabaseFact]
    public async Task The_API_accepts_decisions_at_the_named_path()
    {
        var paths = (await host.Client.AskAsync("/openapi/v1.json")).GetProperty("paths");
        var posts = paths
            .EnumerateObject()
            .Where(path => path.Value.TryGetProperty("post", out _))
            .Select(path => path.Name)
            .ToArray();

        Assert.All(
            NamesOf(EventRoute.Decision),
            name =>
                Assert.Contains(posts, path => path.StartsWith($"/api/farms/{{farm}}/{name}", StringComparison.Ordinal))
        );
    }

    [Fact]
    public void The_import_of_a_farm_file_has_the_named_option()
    {
        var options = typeof(ImportFarmCommand.Settings)
            .GetProperties()
            .Select(property => property.GetCustomAttribute<CommandOptionAttribute>())
            .OfType<CommandOptionAttribute>()
            .SelectMany(option => option.LongNames)
            .ToArray();

        Assert.DoesNotContain(Unknown, options);
        Assert.All(NamesOf(EventRoute.Withdrawal), name => Assert.Contains(name, options));
    }

    private static string[] NamesOf(EventRoute route)
    {
        var names = EventTypes
            .All.Where(type => type.Source.Route == route)
            .Select(type => type.Source.Name)
            .Distinct()
            .ToArray();
        Assert.NotEmpty(names);
        return names;
    }

    private static async Task<bool> IsUnknownAsync(string section)
    {
        using var folder = new TemporaryFile("farm.json", $$"""{ "{{section}}": [] }""");
        var file = await FarmFile.ReadAsync(folder.Path, default);
        return file.Problems.Any(problem =>
            problem.Problem.Contains($"\"{section}\" is not known here", StringComparison.Ordinal)
        );
    }

    private static bool IsUnknownKind(string kind)
    {
        var text = $$"""{ "farm": "f", "records": [ { "kind": "{{kind}}", "by": "Ada Ash" } ] }""";
        var file = PitRecordFile.Read("records.json", Encoding.UTF8.GetBytes(text));
        _ = file.Events(FarmConfiguration.Empty);
        return file.Problems.ByLine.Any(problem =>
            problem.Problem.Contains($"not \"{kind}\"", StringComparison.Ordinal)
        );
    }

    private sealed class TemporaryFile : IDisposable
    {
        private readonly string folder = Directory.CreateTempSubdirectory().FullName;

        public TemporaryFile(string name, string text) =>
            File.WriteAllText(Path = System.IO.Path.Combine(folder, name), text);

        public string Path { get; }

        public void Dispose() => Directory.Delete(folder, recursive: true);
    }
}
