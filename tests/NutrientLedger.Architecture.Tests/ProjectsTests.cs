using System.Reflection;
using System.Runtime.CompilerServices;
using System.Xml.Linq;

namespace NutrientLedger.Architecture.Tests;

/// <summary>
/// The one table of allowed dependencies. Project files, compiled assemblies and the folders under src must agree with
/// it.
/// </summary>
public class ProjectsTests
{
    private static readonly Dictionary<string, (string[] Projects, string[] Packages)> Table = new()
    {
        ["Json"] = ([], []),
        ["Agronomy"] = (["Json"], ["MathNet.Numerics", "NetTopologySuite"]),
        ["Journal"] = (["Agronomy"], []),
        ["Telemetry"] = (["Agronomy", "Journal"], []),
        ["Ledger"] = (["Agronomy", "Journal"], []),
        ["Persistence"] = (["Agronomy", "Journal", "Ledger"], ["Marten", "Npgsql", "Polly.Core"]),
        ["Ingestion"] = (
            ["Agronomy", "Journal", "Telemetry", "Persistence"],
            ["MQTTnet", "MQTTnet.Server", "MQTTnet.AspNetCore", "Polly.Core"]
        ),
        ["Web"] = (
            ["Json", "Agronomy", "Journal", "Ledger", "Persistence"],
            ["Markdig", "Microsoft.AspNetCore.OpenApi", "Scalar.AspNetCore"]
        ),
        ["Demo"] = (["Ledger", "Persistence", "Web"], ["MQTTnet", "Spectre.Console.Cli"]),
        ["Hub"] = (
            ["Json", "Agronomy", "Journal", "Telemetry", "Ledger", "Persistence", "Ingestion", "Web", "Demo"],
            [
                "OpenTelemetry.Extensions.Hosting",
                "OpenTelemetry.Exporter.Prometheus.AspNetCore",
                "Serilog.AspNetCore",
                "Spectre.Console.Cli",
            ]
        ),
    };

    /// <summary>Assemblies that a package brings under other names.</summary>
    private static readonly Dictionary<string, string[]> Brings = new()
    {
        ["Marten"] = ["JasperFx", "JasperFx.Events", "Weasel.Core", "Weasel.Postgresql", "Weasel.Storage"],
        ["OpenTelemetry.Extensions.Hosting"] =
        [
            "OpenTelemetry",
            "OpenTelemetry.Api",
            "OpenTelemetry.Api.ProviderBuilderExtensions",
        ],
        ["Serilog.AspNetCore"] = ["Serilog", "Serilog.Extensions.Hosting", "Serilog.Sinks.Console"],
        ["Spectre.Console.Cli"] = ["Spectre.Console", "Spectre.Console.Ansi"],
        ["Microsoft.AspNetCore.OpenApi"] = ["Microsoft.OpenApi"],
    };

    internal static IEnumerable<string> Names => Table.Keys;

    public static TheoryData<string> Projects => [.. Table.Keys];

    [Fact]
    public void Every_project_on_disk_is_in_the_table() =>
        Assert.Equal(
            Table.Keys.Order(),
            Repository
                .Files("*.csproj")
                .Where(path => path.StartsWith("src/", StringComparison.Ordinal))
                .Select(ProjectOf)
                .Order()
        );

    [Theory]
    [MemberData(nameof(Projects))]
    public void A_project_references_only_what_its_row_names(string project)
    {
        var projectFile = XDocument.Load(
            Path.Combine(Repository.Root, "src", $"NutrientLedger.{project}", $"NutrientLedger.{project}.csproj")
        );
        AssertNone(
            project,
            Includes(projectFile, "ProjectReference").Select(ProjectOf).Except(Table[project].Projects)
        );
        AssertNone(project, Includes(projectFile, "PackageReference").Except(Table[project].Packages));
    }

    [Theory]
    [MemberData(nameof(Projects))]
    public void A_project_is_compiled_against_only_what_its_row_names(string project)
    {
        var (projects, packages) = Table[project];
        AssertNone(
            project,
            Assembly
                .Load($"NutrientLedger.{project}")
                .GetReferencedAssemblies()
                .Select(assembly => assembly.Name!)
                .Where(name => !IsPlatform(name))
                .Except(projects.Select(r => $"NutrientLedger.{r}"))
                .Except(packages)
                .Except(packages.SelectMany(package => Brings.GetValueOrDefault(package, [])))
        );
    }

    [Theory]
    [InlineData("Json")]
    [InlineData("Agronomy")]
    [InlineData("Journal")]
    [InlineData("Telemetry")]
    [InlineData("Ledger")]
    public void A_pure_project_keeps_no_mutable_state(string project)
    {
        const BindingFlags statics =
            BindingFlags.Static | BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.DeclaredOnly;
        var changeable = Assembly
            .Load($"NutrientLedger.{project}")
            .GetTypes()
            .Where(type => !type.IsDefined(typeof(CompilerGeneratedAttribute), false))
            .SelectMany(type => type.GetFields(statics))
            .Where(field => !field.IsInitOnly && !field.IsLiteral)
            .Select(field => $"{field.DeclaringType!.Name}.{field.Name}")
            .ToArray();
        Assert.True(
            changeable.Length == 0,
            $"{project} is pure, so make these static fields readonly or pass their value in: {string.Join(", ", changeable)}"
        );
    }

    private static void AssertNone(string project, IEnumerable<string> unexpected)
    {
        var names = unexpected.ToArray();
        Assert.True(
            names.Length == 0,
            $"{project} may not depend on {string.Join(", ", names)}. Move the code to the project it belongs to; change the table only with a line under Decisions in DEVELOPERS.md."
        );
    }

    private static bool IsPlatform(string assembly) =>
        assembly.StartsWith("System.", StringComparison.Ordinal)
        || assembly is "System" or "netstandard"
        || (
            assembly.StartsWith("Microsoft.AspNetCore", StringComparison.Ordinal)
            && assembly != "Microsoft.AspNetCore.OpenApi"
        )
        || assembly.StartsWith("Microsoft.Extensions", StringComparison.Ordinal)
        || assembly.StartsWith("Microsoft.Net.Http", StringComparison.Ordinal)
        // The base library's reader of comma-separated text; it ships with .NET.
        || assembly is "Microsoft.VisualBasic.Core";

    private static IEnumerable<string> Includes(XDocument projectFile, string item) =>
        projectFile.Descendants(item).Select(element => element.Attribute("Include")!.Value);

    private static string ProjectOf(string projectPath) =>
        Path.GetFileNameWithoutExtension(projectPath)["NutrientLedger.".Length..];
}
