using System.Text.RegularExpressions;

namespace NutrientLedger.Architecture.Tests;

/// <summary>Targets in Markdown files exist: linked files and headings, and named paths of the checkout.</summary>
public partial class DocumentLinksTests
{
    private static readonly string[] Documents = [.. Repository.Files("*.md")];

    // Only in the checkout, in no build output.
    private static readonly string[] PathStarts = ["src/", "tests/", "demo-streams/", "docker/", ".ci/"];

    [Fact]
    public void Every_link_leads_to_a_file_and_a_heading_that_exist()
    {
        var broken = Documents
            .SelectMany(document => Links(document).Select(link => (document, link)))
            .Where(it => !Leads(it.document, it.link))
            .Select(it => $"{it.document}: {it.link}")
            .ToArray();
        Assert.True(broken.Length == 0, $"Fix or remove the link: {string.Join("; ", broken)}");
    }

    [Fact]
    public void Every_path_of_the_checkout_that_a_document_names_exists()
    {
        var broken = Documents
            .SelectMany(document => Spans(document).Where(IsPath).Select(path => (document, path)))
            .Where(it => !Exists(it.path))
            .Select(it => $"{it.document}: {it.path}")
            .ToArray();
        Assert.True(broken.Length == 0, $"Name the file where it is now: {string.Join("; ", broken)}");
    }

    [Fact]
    public void Every_file_that_the_way_of_a_reading_names_exists()
    {
        var developers = File.ReadAllText(Path.Combine(Repository.Root, "DEVELOPERS.md"));
        var named = ProjectFile().Matches(developers).Select(match => match.Groups[1].Value).Distinct().ToArray();
        Assert.NotEmpty(named);
        var missing = named.Where(path => !Exists($"src/NutrientLedger.{path}")).ToArray();
        Assert.True(missing.Length == 0, $"DEVELOPERS.md names files that are gone: {string.Join(", ", missing)}");
    }

    [Fact]
    public void Every_test_that_a_document_names_exists()
    {
        var tests = Repository.Files("*Tests.cs").Select(Path.GetFileNameWithoutExtension).ToHashSet();
        var missing = Documents
            .SelectMany(document =>
                Spans(document).Where(span => TestName().IsMatch(span)).Select(test => (document, test))
            )
            .Where(it => !tests.Contains(it.test))
            .Select(it => $"{it.document}: {it.test}")
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
            .Where(document => !Documents.Contains(document))
            .ToArray();
        Assert.True(missing.Length == 0, $"Write what the project's rules are: {string.Join(", ", missing)}");
    }

    private static bool Leads(string document, string link)
    {
        if (link.Contains("://", StringComparison.Ordinal))
            return true;
        var (path, heading) = link.Split('#') is [var before, var after] ? (before, after) : (link, "");
        var target =
            path.Length == 0
                ? Path.Combine(Repository.Root, document)
                : Path.GetFullPath(Path.Combine(Repository.Root, Path.GetDirectoryName(document)!, path));
        return Path.Exists(target) && (heading.Length == 0 || Headings(File.ReadAllText(target)).Contains(heading));
    }

    private static bool Exists(string path) => Path.Exists(Path.Combine(Repository.Root, path));

    private static bool IsPath(string span) =>
        PathStarts.Any(start => span.StartsWith(start, StringComparison.Ordinal))
        && !span.Contains(' ', StringComparison.Ordinal);

    private static IEnumerable<string> Links(string document) =>
        Link().Matches(WithoutCode(document)).Select(match => match.Groups[1].Value);

    private static IEnumerable<string> Spans(string document) =>
        Span().Matches(WithoutBlocks(document)).Select(match => match.Groups[1].Value);

    private static string WithoutCode(string document) => Span().Replace(WithoutBlocks(document), "");

    private static string WithoutBlocks(string document) =>
        Block().Replace(File.ReadAllText(Path.Combine(Repository.Root, document)), "");

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
    private static partial Regex ProjectFile();

    [GeneratedRegex("^[A-Z][A-Za-z]*Tests$")]
    private static partial Regex TestName();
}
