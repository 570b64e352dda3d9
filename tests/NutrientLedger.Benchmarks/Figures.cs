using System.Globalization;

namespace NutrientLedger.Benchmarks;

/// <summary>Measured values by figure and column, from all rounds. Tables show medians.</summary>
/// <param name="columns">
/// The columns in their order. Rounds go both ways, so the order of measuring says nothing.
/// </param>
internal sealed class Figures(IReadOnlyList<string> columns)
{
    private readonly List<string> names = [];
    private readonly Dictionary<(string Name, string Column), List<double>> values = [];

    /// <summary>Notes a value; the name says the unit.</summary>
    public void Add(string name, string column, double value)
    {
        if (!names.Contains(name))
            names.Add(name);
        if (!values.TryGetValue((name, column), out var list))
            values[(name, column)] = list = [];
        list.Add(value);
    }

    /// <summary>
    /// A Markdown table with the median of each figure, and the last column against the first. Brackets hold the least
    /// and greatest value.
    /// </summary>
    public void Print(string ratio)
    {
        Console.WriteLine();
        Row(["figure", .. columns, ratio]);
        Row([.. Enumerable.Repeat("---", columns.Count + 2)]);
        foreach (var name in names)
            Row([name, .. columns.Select(column => Cell(name, column)), Ratio(name)]);
        Console.WriteLine();
    }

    private static void Row(string[] cells) => Console.WriteLine($"| {string.Join(" | ", cells)} |");

    private string Cell(string name, string column) =>
        values.TryGetValue((name, column), out var list)
            ? $"{Text(Median(list))} [{Text(list.Min())} to {Text(list.Max())}]"
            : "";

    private string Ratio(string name) =>
        columns.Count > 1
        && values.TryGetValue((name, columns[0]), out var first)
        && values.TryGetValue((name, columns[^1]), out var last)
        && Median(first) > 0
            ? (Median(last) / Median(first)).ToString("0.00", CultureInfo.InvariantCulture)
            : "";

    private static double Median(List<double> list) => list.Order().ElementAt(list.Count / 2);

    private static string Text(double value) =>
        value.ToString(
            value switch
            {
                >= 100 => "#,0",
                >= 10 => "0.0",
                >= 1 => "0.00",
                _ => "0.000",
            },
            CultureInfo.InvariantCulture
        );
}
