using System.Globalization;
using System.Net;
using System.Text;

namespace NutrientLedger.Web.Paper;

/// <summary>
/// Builds a page to print: heading, then facts, sentences, sections and tables in order, then the foot. All content is
/// encoded as text. Only <see cref="Article"/> takes markup, and only our own.
/// </summary>
internal sealed class PaperPage
{
    private readonly StringBuilder page = new();

    public PaperPage(string title, string farm, string heading) =>
        page.Append(
            $"""
            <!doctype html>
            <html lang="en"><head><meta charset="utf-8" /><meta name="viewport" content="width=device-width, initial-scale=1" />
            <title>{Safe(title)}</title>
            <link rel="icon" href="/page/mark.svg" type="image/svg+xml" />
            <link rel="stylesheet" href="/page/paper.css" /><link rel="stylesheet" href="/page/account.css" />
            <link rel="stylesheet" href="/page/narrow.css" /><link rel="stylesheet" href="/page/statement.css" />
            <link rel="stylesheet" href="/page/guide.css" />
            </head><body><header class="masthead"><div class="title"><p class="kicker">Nutrient ledger · {Safe(
                farm
            )}</p>
            <h1>{Safe(heading)}</h1></div></header><main>

            """
        );

    /// <summary>A time in UTC, to the second.</summary>
    public static string Moment(DateTimeOffset moment) =>
        moment.UtcDateTime.ToString("yyyy-MM-dd HH:mm:ss 'UTC'", CultureInfo.InvariantCulture);

    /// <summary>
    /// Adds markup that this assembly made of its own text, such as a rendered guide. Never pass anything from outside.
    /// </summary>
    public void Article(string markup) => page.Append($"<article class=\"guide\">{markup}</article>\n");

    public void Section(string heading) => page.Append($"<section><h2>{Safe(heading)}</h2>\n");

    public void EndSection() => page.Append("</section>\n");

    public void Sentence(string text) => page.Append($"<p>{Safe(text)}</p>\n");

    public void Finding(string text) => page.Append($"<p><strong>{Safe(text)}</strong></p>\n");

    public void Note(string text) => page.Append($"<p class=\"note\">{Safe(text)}</p>\n");

    /// <summary>Adds a safety warning in a box of its own.</summary>
    public void Caution(string text) => page.Append($"<aside class=\"caution\"><p>{Safe(text)}</p></aside>\n");

    /// <summary>Adds a list of names and values.</summary>
    public void Facts(params IEnumerable<(string Name, string Text)> facts)
    {
        page.Append("<dl class=\"facts\">\n");
        foreach (var (name, text) in facts)
            page.Append($"<div><dt>{Safe(name)}</dt><dd>{Safe(text)}</dd></div>\n");
        page.Append("</dl>\n");
    }

    /// <summary>
    /// Adds a table whose rows begin with a name. The next <paramref name="numberColumns"/> columns hold numbers, the
    /// others text.
    /// </summary>
    public void Table(string caption, string[] columns, IEnumerable<string[]> rows, int numberColumns)
    {
        var text = numberColumns < columns.Length - 1 ? " with-text" : "";
        page.Append($"<table class=\"statement{text}\"><caption>{Safe(caption)}</caption><thead><tr>");
        page.AppendJoin("", columns.Select((name, place) => $"<th{Of(place)}>{Safe(name)}</th>"));
        page.Append("</tr></thead><tbody>\n");
        foreach (var row in rows)
        {
            page.Append($"<tr><th scope=\"row\">{Safe(row[0])}</th>");
            page.AppendJoin("", row.Skip(1).Select((text, place) => $"<td{Of(place + 1)}>{Safe(text)}</td>"));
            page.Append("</tr>\n");
        }
        page.Append("</tbody></table>\n");

        string Of(int place) => place > numberColumns ? " class=\"text\"" : "";
    }

    /// <summary>Adds the foot and returns the whole page.</summary>
    public string Foot(params string[] sentences)
    {
        page.Append("</main><footer>");
        page.AppendJoin("", sentences.Select(sentence => $"<p>{Safe(sentence)}</p>"));
        return page.Append("</footer></body></html>\n").ToString();
    }

    private static string Safe(string text) => WebUtility.HtmlEncode(text);
}
