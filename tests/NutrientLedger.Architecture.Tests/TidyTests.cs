using System.Text.RegularExpressions;

namespace NutrientLedger.Architecture.Tests;

/// <summary>
/// Rules that keep the checkout readable: the agreed top level, short files, finished work, clear names.
/// </summary>
public partial class TidyTests
{
    private const int LinesMax = 250;

    private static readonly string[] TopLevel =
    [
        "README.md",
        "DEVELOPERS.md",
        "NutrientLedger.sln",
        "src",
        "tests",
        "docker",
        "demo-streams",
        "global.json",
        "Directory.Build.props",
        "Directory.Build.targets",
        "Directory.Packages.props",
    ];

    // The live page is source as well.
    private static readonly string[] PagePatterns = ["*.css", "*.js", "*.html"];

    [Fact]
    public void The_top_level_holds_only_what_is_agreed()
    {
        var unexpected = Directory
            .EnumerateFileSystemEntries(Repository.Root)
            .Select(path => Path.GetFileName(path)!)
            .Where(name => !name.StartsWith('.') && !TopLevel.Contains(name) && name != "TestResults");
        Assert.True(!unexpected.Any(), $"Move into a project or delete: {string.Join(", ", unexpected)}");
    }

    [Fact]
    public void No_source_file_is_longer_than_250_lines()
    {
        var tooLong = Repository
            .Files("*.cs")
            .Concat(PagePatterns.SelectMany(Repository.Files))
            .Select(path => (path, lines: File.ReadLines(Path.Combine(Repository.Root, path)).Count()))
            .Where(file => file.lines > LinesMax)
            .Select(file => $"{file.path} ({file.lines})");
        Assert.True(!tooLong.Any(), $"One idea per file; split: {string.Join(", ", tooLong)}");
    }

    [Fact]
    public void Nothing_is_left_for_later()
    {
        var unfinished = Repository
            .Files("*.cs")
            .Where(path => Unfinished().IsMatch(File.ReadAllText(Path.Combine(Repository.Root, path))));
        Assert.True(!unfinished.Any(), $"Finish it or delete it: {string.Join(", ", unfinished)}");
    }

    [Fact]
    public void No_name_hides_what_the_thing_is_for()
    {
        var vague = Repository.Files("*.cs").Where(path => Vague().IsMatch(Path.GetFileNameWithoutExtension(path)));
        Assert.True(!vague.Any(), $"Name it by what it does, in a word of the trade: {string.Join(", ", vague)}");
    }

    // The words are split so that this file does not find itself.
    [GeneratedRegex("TO" + "DO|FIX" + "ME|NotImplemented" + "Exception")]
    private static partial Regex Unfinished();

    [GeneratedRegex("Helper|Util|Manager|Common|Misc")]
    private static partial Regex Vague();
}
