using System.Text;
using System.Text.Json;
using Microsoft.VisualBasic.FileIO;
using NutrientLedger.Agronomy.Written;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Laboratory reports as a table (UTF-8, RFC 4180 quotes, first line the names of the columns): one row a printed value; what the report
/// says as a whole stands in its every row, or in its first one only. Cells are parted by commas, then decimals are written with a point;
/// or, as spreadsheets of many countries do, by semicolons, see <see cref="LabNumber"/>.
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
        "enteredBy",
        "density",
        "densityUnit",
        "corrects",
        "why",
    ];

    private static readonly string[] OfValue = ["what", "value", "unit", "basis"];

    /// <summary>The table's reports as they would stand in a JSON file.</summary>
    public static IReadOnlyList<WrittenValue> Read(byte[] utf8, ProblemSheet problems)
    {
        var first = FirstLine(utf8);
        var bySemicolons = first.Contains(';', StringComparison.Ordinal);
        if (bySemicolons && first.Contains(',', StringComparison.Ordinal))
        {
            problems.Add(
                0,
                "The line that names the columns holds both commas and semicolons; part all cells by one of them."
            );
            return [];
        }
        var rows = Rows(utf8, bySemicolons ? ";" : ",", problems);
        if (rows is not [var names, ..] || problems.InOrder.Count > 0)
        {
            if (problems.InOrder.Count == 0)
                problems.Add(0, "The table is empty; its first line must name the columns.");
            return [];
        }
        string[] columns = [.. names.Cells.Select(cell => cell.Trim())];
        foreach (var unknown in columns.Where(name => !OfReport.Contains(name) && !OfValue.Contains(name)))
            problems.Add(
                names.Line,
                $"column \"{unknown}\" is not known; known are {string.Join(", ", OfReport.Concat(OfValue))}."
            );
        foreach (var twice in columns.GroupBy(name => name).Where(same => same.Count() > 1))
            problems.Add(names.Line, $"column \"{twice.Key}\" stands there twice; keep one.");
        foreach (var row in rows.Skip(1).Where(row => row.Cells.Length != columns.Length))
            problems.Add(row.Line, UnlikeColumns(row.Cells.Length, columns.Length, bySemicolons));
        if (problems.InOrder.Count == 0 && bySemicolons)
            LabNumber.Write(columns, rows.Skip(1), problems);
        if (problems.InOrder.Count > 0)
            return [];
        return
        [
            .. rows.Skip(1)
                .Select(row => (row.Line, Cells: columns.Zip(row.Cells).ToDictionary(it => it.First, it => it.Second)))
                .GroupBy(row => row.Cells.GetValueOrDefault("id", ""))
                .Select(report => Report([.. report], problems)),
        ];
    }

    private static WrittenValue Report(
        IReadOnlyList<(int Line, Dictionary<string, string> Cells)> rows,
        ProblemSheet problems
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

    private static IReadOnlyList<WrittenMember> Members(int line, Dictionary<string, string> cells, string[] names) =>
        [
            .. names
                .Where(name => cells.GetValueOrDefault(name, "").Length > 0)
                .Select(name => new WrittenMember(
                    name,
                    line,
                    new(line, LabNumber.IsIn(name) ? JsonTokenType.Number : JsonTokenType.String, cells[name], [], [])
                )),
        ];

    private static WrittenValue Object(int line, IReadOnlyList<WrittenMember> members) =>
        new(line, JsonTokenType.StartObject, "", [], members);

    private static string UnlikeColumns(int cells, int columns, bool bySemicolons) =>
        $"the row has {Counted.Of(cells, "cell")}, but there {(columns == 1 ? "is" : "are")} {Counted.Of(columns, "column")}; "
        + (
            bySemicolons
                ? "cells are parted by semicolons here, as in the first line."
                : "a decimal comma parts cells too: write a decimal point, or part the cells by semicolons."
        );

    private static string FirstLine(byte[] utf8)
    {
        using var reader = new StreamReader(new MemoryStream(utf8), Encoding.UTF8);
        while (reader.ReadLine() is { } line)
            if (!string.IsNullOrWhiteSpace(line))
                return line;
        return "";
    }

    private static List<(int Line, string[] Cells)> Rows(byte[] utf8, string delimiter, ProblemSheet problems)
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
