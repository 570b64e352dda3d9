using System.Collections.Frozen;
using System.Reflection;
using System.Text;
using Markdig;
using Markdig.Extensions.AutoIdentifiers;
using Markdig.Renderers.Html;
using Markdig.Syntax;
using Markdig.Syntax.Inlines;
using NutrientLedger.Web.Paper;

namespace NutrientLedger.Web.Guide;

/// <summary>
/// The guides: Markdown files of this folder, embedded and rendered once. They link to each other as files
/// (<c>farm-file.md</c>), which also works in a checkout. Here the links become addresses (<c>/guide/farm-file</c>).
/// </summary>
internal static class GuideBook
{
    /// <summary>The guide that lists the others, served at /guide.</summary>
    public const string Index = "index";

    private const string ResourcePrefix = "guide/";
    private const string GuideEnding = ".md";

    private static readonly MarkdownPipeline Pipeline = new MarkdownPipelineBuilder()
        .UsePipeTables()
        .UseAutoIdentifiers(AutoIdentifierOptions.GitHub)
        .DisableHtml()
        .Build();

    /// <summary>Whole HTML pages by guide name.</summary>
    public static FrozenDictionary<string, string> Pages { get; } =
        Resources(GuideEnding)
            .ToFrozenDictionary(
                file => file.Name[..^GuideEnding.Length],
                file => Page(Encoding.UTF8.GetString(file.Bytes))
            );

    /// <summary>PNG pictures by file name.</summary>
    public static FrozenDictionary<string, byte[]> Pictures { get; } =
        Resources(".png").ToFrozenDictionary(file => file.Name, file => file.Bytes);

    /// <summary>The page for an unknown guide; it lists the known ones.</summary>
    public static string Missing(string name)
    {
        var page = new PaperPage("No such guide", "guide", "No such guide");
        page.Sentence($"There is no guide \"{name}\". These exist:");
        page.Article(
            Markdown.ToHtml(string.Join('\n', Names.Select(known => $"- [{known}]({Address(known)})")), Pipeline)
        );
        return page.Foot("For information only. Local code and the farm's nutrient plan prevail.");
    }

    /// <summary>All guide names in alphabetical order.</summary>
    public static IEnumerable<string> Names => Pages.Keys.Order(StringComparer.Ordinal);

    private static string Address(string name) => name == Index ? "/guide" : $"/guide/{name}";

    private static string Page(string markdown)
    {
        var document = Markdown.Parse(markdown, Pipeline);
        if (document is not [HeadingBlock { Level: 1, Inline: { } heading } first, ..])
            throw new InvalidOperationException("A guide must begin with its title: # Title.");
        var title = string.Concat(heading.Descendants<LiteralInline>().Select(text => text.Content.ToString()));
        document.Remove(first);
        foreach (var link in document.Descendants<LinkInline>())
            link.Url = AddressOf(link.Url ?? "", link.IsImage);
        foreach (var table in document.Descendants<Markdig.Extensions.Tables.Table>())
            table.GetAttributes().AddClass("statement");
        var page = new PaperPage(title, "guide", title);
        page.Article(document.ToHtml(Pipeline));
        return page.Foot(
            "For information only. Local code and the farm's nutrient plan prevail; a licensed or certified planner decides."
        );
    }

    private static string AddressOf(string link, bool isPicture)
    {
        var (file, anchor) = link.Split('#', 2) is [var before, var after] ? (before, $"#{after}") : (link, "");
        return isPicture ? $"/guide/{file}"
            : file.EndsWith(GuideEnding, StringComparison.Ordinal) ? Address(file[..^GuideEnding.Length]) + anchor
            : link;
    }

    private static IEnumerable<(string Name, byte[] Bytes)> Resources(string ending)
    {
        var assembly = Assembly.GetExecutingAssembly();
        foreach (var resource in assembly.GetManifestResourceNames())
        {
            if (
                !resource.StartsWith(ResourcePrefix, StringComparison.Ordinal)
                || !resource.EndsWith(ending, StringComparison.Ordinal)
            )
                continue;
            using var stream = assembly.GetManifestResourceStream(resource)!;
            var bytes = new byte[stream.Length];
            stream.ReadExactly(bytes);
            yield return (resource[ResourcePrefix.Length..], bytes);
        }
    }
}
