using System.Xml.Linq;

namespace NutrientLedger.Architecture.Tests;

/// <summary>A package and the hub carry the licences of everything in them.</summary>
public class NoticesTests
{
    private const string Notices = "src/THIRD-PARTY-NOTICES.txt";

    private static readonly string[] Licences = ["MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "PostgreSQL"];

    [Fact]
    public void Every_package_used_under_src_is_listed_with_its_licence()
    {
        var listed = File.ReadLines(Path.Combine(Repository.Root, Notices))
            .Select(line => line.Split(' ', StringSplitOptions.RemoveEmptyEntries))
            .Where(words => words.Length > 2 && Licences.Contains(words[1]))
            .Select(words => words[0])
            .ToArray();
        var versions = Includes("Directory.Packages.props", "PackageVersion").ToHashSet();
        var used = Repository
            .Files("*.csproj")
            .Append("src/Directory.Build.props")
            .Where(path => path.StartsWith("src/", StringComparison.Ordinal))
            .SelectMany(project => Includes(project, "PackageReference"))
            .Where(versions.Contains)
            .ToHashSet();
        Assert.NotEmpty(used);
        Assert.True(
            used.IsSubsetOf(listed),
            $"Add package, SPDX licence and owner to {Notices}: {string.Join(", ", used.Except(listed))}"
        );
    }

    [Fact]
    public void The_licence_is_an_expression_and_the_notices_go_with_the_hub()
    {
        Assert.Equal(
            "Apache-2.0",
            XDocument
                .Load(Path.Combine(Repository.Root, "Directory.Build.props"))
                .Descendants("PackageLicenseExpression")
                .Single()
                .Value
        );
        Assert.True(
            File.Exists(Path.Combine(AppContext.BaseDirectory, Path.GetFileName(Notices))),
            "The notices are not beside the program: see src/Directory.Build.props."
        );
    }

    private static IEnumerable<string> Includes(string file, string item) =>
        XDocument
            .Load(Path.Combine(Repository.Root, file))
            .Descendants(item)
            .Select(element => element.Attribute("Include")?.Value)
            .OfType<string>();
}
