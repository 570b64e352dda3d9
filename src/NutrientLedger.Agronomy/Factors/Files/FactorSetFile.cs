using System.Text.Json;
using NutrientLedger.Json;

namespace NutrientLedger.Agronomy.Factors.Files;

/// <summary>A factor file as read: the set, or everything that is wrong with it, line by line.</summary>
public sealed record FactorSetReadResult(FactorSet? Set, IReadOnlyList<FileProblem> Problems);

/// <summary>Reads a factor set written as JSON and checks it; a set with any fault is not given out.</summary>
public static class FactorSetFile
{
    public static FactorSetReadResult Read(string fileName, byte[] utf8)
    {
        var problems = new FileProblems(fileName);
        var set = PositionedJsonParser.Parse(utf8, problems) is { } whole ? ReadSet(whole, problems) : null;
        return new(problems.ByLine.Count == 0 ? set : null, problems.ByLine);
    }

    private static FactorSet? ReadSet(PositionedJsonValue whole, FileProblems problems)
    {
        var from = new JsonObjectReader("Set", whole, problems);
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
        var coefficients = ReadCoefficients(from, set, problems).ToArray();
        from.RejectUnknownMembers();
        // A figure that could not be read in full would seem to claim more than it does.
        if (problems.ByLine.Count == 0)
        {
            ReportClashes(coefficients, problems);
            ReportExcess(coefficients, problems);
        }
        return set with { Coefficients = [.. coefficients.Select(read => read.Figure)] };
    }

    private static IEnumerable<(Coefficient Figure, int Line)> ReadCoefficients(
        JsonObjectReader from,
        FactorSet set,
        FileProblems problems
    )
    {
        if (from.Required("coefficients") is not { } list || set.Scheme == default)
            yield break;
        if (list.Kind != JsonTokenType.StartArray || list.Items.Count == 0)
            from.Expected("coefficients", "a list of at least one figure", list);
        foreach (var item in list.Items)
            if (CoefficientReader.Read(item, set, problems) is { } coefficient)
                yield return (coefficient, item.Line);
    }

    private static void ReportClashes((Coefficient Figure, int Line)[] read, FileProblems problems)
    {
        for (var i = 1; i < read.Length; i++)
        {
            var (coefficient, line) = read[i];
            foreach (var (earlier, earlierLine) in read.Take(i))
                if (earlier.Name == coefficient.Name)
                    problems.Add(line, $"Figure {coefficient.Name}: the name is given on line {earlierLine} already.");
                else if (coefficient.Overlaps(earlier))
                    problems.Add(
                        line,
                        $"Figure {coefficient.Name}: it holds in circumstances that {earlier.Name} (line {earlierLine}) claims too; make the two apart."
                    );
        }
    }

    private static void ReportExcess((Coefficient Figure, int Line)[] read, FileProblems problems)
    {
        var exceeding = YearSums.ThatExceedTheWhole(read.Select(coefficient => coefficient.Figure));
        if (exceeding.IsEmpty)
            return;
        var last = exceeding[^1];
        var names = exceeding.Select(coefficient => coefficient.Name).Distinct();
        problems.Add(
            read.First(coefficient => coefficient.Figure == last).Line,
            $"Figures {string.Join(", ", names)}: over the years they make more than all of the nutrient available; they must not add up to more than 1."
        );
    }
}
