using System.Text.Json;
using NutrientLedger.Json;

namespace NutrientLedger.Agronomy.Factors.Files;

/// <summary>A factor file as read: the set, or all its problems by line.</summary>
public sealed record FactorSetReadResult(FactorSet? Set, IReadOnlyList<FileProblem> Problems);

/// <summary>Reads and checks a factor set in JSON. A set with any problem is not returned.</summary>
public static class FactorSetFile
{
    public static FactorSetReadResult Read(string fileName, byte[] utf8)
    {
        var problems = new FileProblems(fileName);
        var set = PositionedJsonParser.Parse(utf8, problems) is { } whole ? ReadSet(whole, problems) : null;
        return new(!problems.Any ? set : null, problems.ByLine);
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
        // A coefficient that was not read in full would seem to apply more widely than it does.
        if (!problems.Any)
        {
            ReportClashes(coefficients, problems);
            ReportExcess(coefficients, problems);
        }
        return set with { Coefficients = [.. coefficients.Select(read => read.Coefficient)] };
    }

    private static IEnumerable<(Coefficient Coefficient, int Line)> ReadCoefficients(
        JsonObjectReader from,
        FactorSet set,
        FileProblems problems
    )
    {
        if (from.Required("coefficients") is not { } list || set.Scheme == default)
            yield break;
        if (list.Kind != JsonTokenType.StartArray || list.Items.Count == 0)
            from.Expected("coefficients", "a list of at least one coefficient", list);
        foreach (var item in list.Items)
            if (CoefficientReader.Read(item, set, problems) is { } coefficient)
                yield return (coefficient, item.Line);
    }

    private static void ReportClashes((Coefficient Coefficient, int Line)[] read, FileProblems problems)
    {
        for (var i = 1; i < read.Length; i++)
        {
            var (coefficient, line) = read[i];
            foreach (var (earlier, earlierLine) in read.Take(i))
                if (earlier.Name == coefficient.Name)
                    problems.Add(
                        line,
                        $"Coefficient {coefficient.Name}: line {earlierLine} already has this name; give each its own."
                    );
                else if (coefficient.Overlaps(earlier))
                    problems.Add(
                        line,
                        $"Coefficient {coefficient.Name}: {earlier.Name} (line {earlierLine}) applies in some of the same circumstances; make their conditions exclude each other."
                    );
        }
    }

    private static void ReportExcess((Coefficient Coefficient, int Line)[] read, FileProblems problems)
    {
        var exceeding = YearSums.ThatExceedTheWhole(read.Select(coefficient => coefficient.Coefficient));
        if (exceeding.IsEmpty)
            return;
        var last = exceeding[^1];
        var names = exceeding.Select(coefficient => coefficient.Name).Distinct();
        problems.Add(
            read.First(coefficient => coefficient.Coefficient == last).Line,
            $"Coefficients {string.Join(", ", names)}: over the years they add up to more than all of the nutrient; keep their sum at 1 or less."
        );
    }
}
