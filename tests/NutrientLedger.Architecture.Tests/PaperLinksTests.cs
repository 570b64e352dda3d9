using System.Text.RegularExpressions;

namespace NutrientLedger.Architecture.Tests;

/// <summary>Targets in Markdown files exist: linked files and headings, and named paths of the checkout.</summary>
public partial class PaperLinksTests
{
    private static readonly string[] Papers = [.. Repository.Files("*.md")];

    // Only in the checkout, in no build output.
    private static readonly string[] PathStarts = ["src/", "tests/", "demo-streams/", "docker/", ".ci/"];

    [Fact]
    public void Every_link_leads_to_a_file_and_a_heading_that_exist()
    {
        var broken = Papers
            .SelectMany(paper => Links(paper).Select(link => (paper, link)))
            .Where(it => !Leads(it.paper, it.link))
            .Select(it => $"{it.paper}: {it.link}")
            .ToArray();
        Assert.True(broken.Length == 0, $"Fix or remove the link: {string.Join("; ", broken)}");
    }

    [Fact]
    public void Every_path_of_the_checkout_that_a_document_names_exists()
    {
        var broken = Papers
            .SelectMany(paper => Spans(paper).Where(IsPath).Select(path => (paper, path)))
            .Where(it => !Exists(it.path))
            .Select(it => $"{it.paper}: {it.path}")
            .ToArray();
        Assert.True(broken.Length == 0, $"Name the file where it is now: {string.Join("; ", broken)}");
    }

    [Fact]
    public void Every_file_that_the_way_of_a_reading_names_exists()
    {
        var developers = File.ReadAllText(Path.Combine(Repository.Root, "DEVELOPERS.md"));
        var named = RoomFile().Matches(developers).Select(match => match.Groups[1].Value).Distinct().ToArray();
        Assert.NotEmpty(named);
        var missing = named.Where(path => !Exists($"src/NutrientLedger.{path}")).ToArray();
        Assert.True(missing.Length == 0, $"DEVELOPERS.md names files that are gone: {string.Join(", ", missing)}");
    }

    [Fact]
    public void Every_test_that_a_document_names_exists()
    {
        var tests = Repository.Files("*Tests.cs").Select(Path.GetFileNameWithoutExtension).ToHashSet();
        var missing = Papers
            .SelectMany(paper => Spans(paper).Where(span => TestName().IsMatch(span)).Select(test => (paper, test)))
            .Where(it => !tests.Contains(it.test))
            .Select(it => $"{it.paper}: {it.test}")
            .ToArray();
        Assert.True(missing.Length == 0, $"Name the test as it is called now: {string.Join("; ", missing)}");
    }

    [Fact]
    public void Every_project_has_its_readme()
    {
        var missing = Repository
            .Files("*.csproj")
            .Where(path => path.StartsWith("src/", StringComparison.Ordinal))
            .Select(path => $"{Path.GetDirectoryName(path)!.Replace('\\', '/')}/README.md")
            .Where(paper => !Papers.Contains(paper))
            .ToArray();
        Assert.True(missing.Length == 0, $"Write what the room's rules are: {string.Join(", ", missing)}");
    }

    private static bool Leads(string paper, string link)
    {
        if (link.Contains("://", StringComparison.Ordinal))
            return true;
        var (path, heading) = link.Split('#') is [var before, var after] ? (before, after) : (link, "");
        var target =
            path.Length == 0
                ? Path.Combine(Repository.Root, paper)
                : Path.GetFullPath(Path.Combine(Repository.Root, Path.GetDirectoryName(paper)!, path));
        return Path.Exists(target) && (heading.Length == 0 || Headings(File.ReadAllText(target)).Contains(heading));
    }

    private static bool Exists(string path) => Path.Exists(Path.Combine(Repository.Root, path));

    private static bool IsPath(string span) =>
        PathStarts.Any(start => span.StartsWith(start, StringComparison.Ordinal))
        && !span.Contains(' ', StringComparison.Ordinal);

    private static IEnumerable<string> Links(string paper) =>
        Link().Matches(WithoutCode(paper)).Select(match => match.Groups[1].Value);

    private static IEnumerable<string> Spans(string paper) =>
        Span().Matches(WithoutBlocks(paper)).Select(match => match.Groups[1].Value);

    private static string WithoutCode(string paper) => Span().Replace(WithoutBlocks(paper), "");

    private static string WithoutBlocks(string paper) =>
        Block().Replace(File.ReadAllText(Path.Combine(Repository.Root, paper)), "");

    /// <summary>
    /// The anchors of a document's headings: small letters, digits, hyphens for spaces, nothing else.
    /// </summary>
    private static HashSet<string> Headings(string markdown) =>
        [
            .. Heading()
                .Matches(Block().Replace(markdown, ""))
                .Select(match => match.Groups[1].Value.Trim().ToLowerInvariant())
                .Select(text => NotInAnchor().Replace(text, "").Replace(' ', '-')),
        ];

    [GeneratedRegex("```.*?```", RegexOptions.Singleline)]
    private static partial Regex Block();

    [GeneratedRegex("`([^`\n]+)`")]
    private static partial Regex Span();

    [GeneratedRegex(@"\]\(([^)\s]+)\)")]
    private static partial Regex Link();

    [GeneratedRegex("^#+ (.*)$", RegexOptions.Multiline)]
    private static partial Regex Heading();

    [GeneratedRegex(@"[^\w\- ]")]
    private static partial Regex NotInAnchor();

    [GeneratedRegex("`((?:Web|Ingestion|Telemetry|Persistence|Ledger|Journal)/[^`]*)`")]
    private static partial Regex RoomFile();

    [GeneratedRegex("^[A-Z][A-Za-z]*Tests$")]
    private static partial Regex TestName();
}
