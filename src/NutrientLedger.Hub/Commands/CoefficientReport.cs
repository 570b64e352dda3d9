using System.Text.Encodings.Web;
using System.Text.Json;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Json;
using NutrientLedger.Web.Wording;
using Spectre.Console;

namespace NutrientLedger.Hub.Commands;

/// <summary>Prints factor sets and coefficients, as text or as JSON.</summary>
internal sealed class CoefficientReport(bool json)
{
    private static readonly JsonSerializerOptions JsonOptions = new(JsonSerializerDefaults.Web)
    {
        WriteIndented = true,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    public void Sets(IReadOnlyList<ExplainedSet> sets)
    {
        if (json)
        {
            Print(
                sets.Select(set => new
                {
                    set.Id,
                    set.Source,
                    set.Region,
                    set.Scheme,
                    Coefficients = set.Coefficients.Length,
                    set.Address,
                    set.Notes,
                })
            );
            return;
        }
        var table = List("set", "coefficients", "scheme", "source");
        foreach (var set in sets)
            table.AddRow(Plain(set.Id), Plain($"{set.Coefficients.Length}"), Plain(set.Scheme), Plain(set.Source));
        AnsiConsole.Write(table);
        AnsiConsole.MarkupLine("List the coefficients of a set: [bold]explain --set ID[/].");
    }

    public void Coefficients(ExplainedSet set)
    {
        if (json)
        {
            Print(set.Coefficients);
            return;
        }
        AnsiConsole.MarkupLineInterpolated($"[bold]{set.Id}[/]: {set.Source} ({set.Region}), {set.Scheme}");
        foreach (var note in set.Notes)
            AnsiConsole.MarkupLineInterpolated($"  {note}");
        // Not through the console library: it would break names at the edge, and they could not be copied whole.
        foreach (var coefficient in set.Coefficients)
            Console.Out.WriteLine(
                $"{coefficient.Value + " " + coefficient.Unit, -28} {coefficient.Mark.Split([':', ','])[0], -15} {coefficient.Name}"
            );
    }

    public void Explanations(IReadOnlyList<CoefficientExplanation> found)
    {
        if (json)
            Print(found);
        else
        {
            foreach (var explanation in found)
                Explanation(explanation);
            AnsiConsole.MarkupLine("Local code and the farm's nutrient plan prevail.");
        }
    }

    public void Unknown(string what, string name, IReadOnlyList<string> nearest)
    {
        if (json)
            Print(new { Unknown = name, Nearest = nearest });
        else
            AnsiConsole.MarkupLineInterpolated(
                $"[red]There is no {what} \"{name}\".[/] Nearest: {string.Join(", ", nearest)}"
            );
    }

    public void Problems(IReadOnlyList<FileProblem> faults)
    {
        if (json)
        {
            Print(faults);
            return;
        }
        foreach (var fault in faults)
            AnsiConsole.MarkupLineInterpolated(
                $"[red]{FileProblem.PlaceOf(fault.File, fault.Line)}: {fault.Problem}[/]"
            );
        AnsiConsole.MarkupLine($"The set is not valid: fix {Plural.Of(faults.Count, "error")}.");
    }

    private static void Explanation(CoefficientExplanation of)
    {
        var grid = new Grid().AddColumns(2);
        void Row(string what, string? text)
        {
            if (!string.IsNullOrEmpty(text))
                grid.AddRow(Plain(what), Plain(text));
        }

        AnsiConsole.MarkupLineInterpolated($"[bold]{of.Name}[/] = [bold]{of.Value}[/] {of.Unit}");
        Row("  means", of.Meaning);
        Row("  source", of.Source);
        Row("  place", of.Place);
        Row("  mark", of.Mark);
        Row("  holds", string.Join("\nor ", of.HoldsWhen));
        Row("  basis", of.AtDryMatterPercent is { } percent ? $"crop at {percent} % dry matter" : null);
        Row("  note", of.Note);
        Row("  set", $"{of.SetId} ({of.Region})");
        Row("  address", of.Address);
        AnsiConsole.Write(grid);
    }

    /// <summary>A plain list. Only the last column may wrap, so that names can be copied whole.</summary>
    private static Table List(params string[] columns)
    {
        var table = new Table().NoBorder();
        foreach (var column in columns)
            table.AddColumn(new TableColumn(column) { NoWrap = column != columns[^1] });
        return table;
    }

    private static Text Plain(string text) => new(text);

    private static void Print<T>(T value) => Console.Out.WriteLine(JsonSerializer.Serialize(value, JsonOptions));
}
