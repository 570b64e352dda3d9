using System.Text.Json;
using NutrientLedger.Agronomy.Written;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>A factor file as read: the set, or everything that is wrong with it, line by line.</summary>
public sealed record FactorSetReading(FactorSet? Set, IReadOnlyList<WrittenProblem> Problems);

/// <summary>Reads a factor set written as JSON and checks it; a set with any fault is not given out.</summary>
public static class FactorSetFile
{
    public static FactorSetReading Read(string fileName, byte[] utf8)
    {
        var problems = new ProblemSheet(fileName);
        var set = WrittenText.Parse(utf8, problems) is { } whole ? ReadSet(whole, problems) : null;
        return new(problems.InOrder.Count == 0 ? set : null, problems.InOrder);
    }

    private static FactorSet? ReadSet(WrittenValue whole, ProblemSheet problems)
    {
        var from = new WrittenObject("Set", whole, problems);
        if (!from.IsObject)
            return null;
        var (scheme, title) = (from.Word<Scheme>("scheme"), from.Text("title"));
        var set = new FactorSet(
            from.Text("id"),
            title,
            from.Text("publisher"),
            from.OptionalText("number"),
            from.OptionalYear("year"),
            from.Text("region"),
            scheme,
            from.OptionalText("address"),
            from.Texts("notes"),
            from.Texts("legumes"),
            []
        );
        var figures = Figures(from, set, problems).ToArray();
        from.NothingElse();
        // A figure that could not be read in full would seem to claim more than it does.
        if (problems.InOrder.Count == 0)
        {
            ReportClashes(figures, problems);
            ReportExcess(figures, problems);
        }
        return set with { Figures = [.. figures.Select(read => read.Figure)] };
    }

    private static IEnumerable<(Figure Figure, int Line)> Figures(
        WrittenObject from,
        FactorSet set,
        ProblemSheet problems
    )
    {
        if (from.Required("figures") is not { } list || set.Scheme == default)
            yield break;
        if (list.Kind != JsonTokenType.StartArray || list.Items.Count == 0)
            from.Expected("figures", "a list of at least one figure", list);
        foreach (var item in list.Items)
            if (FigureFile.Read(item, set, problems) is { } figure)
                yield return (figure, item.Line);
    }

    private static void ReportClashes((Figure Figure, int Line)[] read, ProblemSheet problems)
    {
        for (var i = 1; i < read.Length; i++)
        {
            var (figure, line) = read[i];
            foreach (var (earlier, earlierLine) in read.Take(i))
                if (earlier.Name == figure.Name)
                    problems.Add(line, $"Figure {figure.Name}: the name is given on line {earlierLine} already.");
                else if (figure.Overlaps(earlier))
                    problems.Add(
                        line,
                        $"Figure {figure.Name}: it holds in circumstances that {earlier.Name} (line {earlierLine}) claims too; make the two apart."
                    );
        }
    }

    private static void ReportExcess((Figure Figure, int Line)[] read, ProblemSheet problems)
    {
        var exceeding = YearSums.ThatExceedTheWhole(read.Select(figure => figure.Figure));
        if (exceeding.IsEmpty)
            return;
        var last = exceeding[^1];
        var names = exceeding.Select(figure => figure.Name).Distinct();
        problems.Add(
            read.First(figure => figure.Figure == last).Line,
            $"Figures {string.Join(", ", names)}: over the years they make more than all of the nutrient available; they must not add up to more than 1."
        );
    }
}
