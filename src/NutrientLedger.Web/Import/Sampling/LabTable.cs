using System.Text;
using System.Text.Json;
using Microsoft.VisualBasic.FileIO;
using NutrientLedger.Json;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Import.Sampling;

/// <summary>
/// Laboratory reports as a table (UTF-8, RFC 4180 quotes, header in the first line), one row per printed value. What
/// concerns the whole report is in each of its rows or only in the first. Cells are separated by commas, with decimal
/// points, or by semicolons; see <see cref="LabNumber"/>.
/// </summary>
internal static class LabTable
{
    private static readonly string[] OfReport =
    [
        "id",
        "sample",
        "laboratory",
        "sampledFrom",
        "sampledTo",
        "pit",
        "sensor",
        "applicator",
        "method",
        "reportedOn",
        "by",
        "density",
        "densityUnit",
        "corrects",
        "reason",
    ];

    private static readonly string[] OfValue = ["what", "value", "unit", "basis"];

    /// <summary>The reports of the table as JSON values, as if read from a JSON file.</summary>
    public static IReadOnlyList<PositionedJsonValue> Read(byte[] utf8, FileProblems problems)
    {
        var first = FirstLine(utf8);
        var bySemicolons = first.Contains(';', StringComparison.Ordinal);
        if (bySemicolons && first.Contains(',', StringComparison.Ordinal))
        {
            problems.Add(0, "The header has commas and semicolons; use one separator.");
            return [];
        }
        var rows = Rows(utf8, bySemicolons ? ";" : ",", problems);
        if (rows is not [var names, ..] || problems.Any)
        {
            if (!problems.Any)
                problems.Add(0, "The table is empty; the first line must be the header.");
            return [];
        }
        string[] columns = [.. names.Cells.Select(cell => cell.Trim())];
        foreach (var unknown in columns.Where(name => !OfReport.Contains(name) && !OfValue.Contains(name)))
            problems.Add(
                names.Line,
                $"column \"{unknown}\" is not known; known are {string.Join(", ", OfReport.Concat(OfValue))}."
            );
        foreach (var twice in columns.GroupBy(name => name).Where(same => same.Count() > 1))
            problems.Add(names.Line, $"column \"{twice.Key}\" appears twice; keep one.");
        foreach (var row in rows.Skip(1).Where(row => row.Cells.Length != columns.Length))
            problems.Add(row.Line, ColumnMismatch(row.Cells.Length, columns.Length, bySemicolons));
        if (!problems.Any && bySemicolons)
            LabNumber.Write(columns, rows.Skip(1), problems);
        if (problems.Any)
            return [];
        return
        [
            .. rows.Skip(1)
                .Select(row => (row.Line, Cells: columns.Zip(row.Cells).ToDictionary(it => it.First, it => it.Second)))
                .GroupBy(row => row.Cells.GetValueOrDefault("id", ""))
                .Select(report => Report([.. report], problems)),
        ];
    }

    private static PositionedJsonValue Report(
        IReadOnlyList<(int Line, Dictionary<string, string> Cells)> rows,
        FileProblems problems
    )
    {
        var (line, first) = rows[0];
        foreach (var row in rows.Skip(1))
        foreach (var name in OfReport)
            if (row.Cells.GetValueOrDefault(name, "") is { Length: > 0 } cell && cell != first[name])
                problems.Add(
                    row.Line,
                    $"report \"{first.GetValueOrDefault("id", "")}\": \"{name}\" is \"{cell}\" here, but \"{first[name]}\" on line {line}."
                );
        var values = rows.Select(row => Object(row.Line, Members(row.Line, row.Cells, OfValue)));
        return Object(
            line,
            [
                .. Members(line, first, OfReport),
                new("values", line, new(line, JsonTokenType.StartArray, "", [.. values], [])),
            ]
        );
    }

    private static IReadOnlyList<PositionedJsonMember> Members(
        int line,
        Dictionary<string, string> cells,
        string[] names
    ) =>
        [
            .. names
                .Where(name => cells.GetValueOrDefault(name, "").Length > 0)
                .Select(name => new PositionedJsonMember(
                    name,
                    line,
                    new(line, LabNumber.IsIn(name) ? JsonTokenType.Number : JsonTokenType.String, cells[name], [], [])
                )),
        ];

    private static PositionedJsonValue Object(int line, IReadOnlyList<PositionedJsonMember> members) =>
        new(line, JsonTokenType.StartObject, "", [], members);

    private static string ColumnMismatch(int cells, int columns, bool bySemicolons) =>
        $"the row has {Plural.Of(cells, "cell")}, but there {(columns == 1 ? "is" : "are")} {Plural.Of(columns, "column")}; "
        + (
            bySemicolons
                ? "the separator is the semicolon, as in the header."
                : "a decimal comma splits cells; use a decimal point, or semicolons as separator."
        );

    private static string FirstLine(byte[] utf8)
    {
        using var reader = new StreamReader(new MemoryStream(utf8), Encoding.UTF8);
        while (reader.ReadLine() is { } line)
            if (!string.IsNullOrWhiteSpace(line))
                return line;
        return "";
    }

    private static List<(int Line, string[] Cells)> Rows(byte[] utf8, string delimiter, FileProblems problems)
    {
        var rows = new List<(int Line, string[] Cells)>();
        using var parser = new TextFieldParser(new MemoryStream(utf8), Encoding.UTF8)
        {
            HasFieldsEnclosedInQuotes = true,
        };
        parser.SetDelimiters(delimiter);
        while (!parser.EndOfData)
        {
            var line = (int)parser.LineNumber;
            try
            {
                if (parser.ReadFields() is { } cells)
                    rows.Add((line, cells));
            }
            catch (MalformedLineException)
            {
                problems.Add(line, "the quotes of this row do not match; write a quote inside a cell twice.");
            }
        }
        return rows;
    }
}
