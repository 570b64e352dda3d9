using NutrientLedger.Agronomy.Written;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>Reads one figure of a factor file.</summary>
internal static class FigureFile
{
    public static Figure? Read(WrittenValue item, FactorSet set, ProblemSheet problems)
    {
        var name = item.Members.FirstOrDefault(member => member.Name == "name")?.Value.Text;
        var from = new WrittenObject($"Figure {name}".TrimEnd(), item, problems);
        if (!from.IsObject || Kind(from, set) is not { } kind)
            return null;
        var (low, high) = Value(from, kind);
        var figure = new Figure(
            from.Text("name"),
            kind,
            low,
            high,
            Unit(from, kind),
            from.OptionalText("source") ?? set.Source,
            from.Text("place"),
            from.Word<FigureMark>("mark"),
            from.Conditions(kind, problems),
            from.OptionalNumber("atDryMatterPercent", 1, 100),
            from.OptionalText("note")
        );
        from.NothingElse();
        return figure;
    }

    private static FigureKind? Kind(WrittenObject from, FactorSet set)
    {
        if (from.Text("name") is not { Length: > 0 } name)
            return null;
        var known = SchemeKinds.Of(set.Scheme);
        var asked = name.Split('/')[0];
        var kind = known.FirstOrDefault(kind => kind.Name == asked);
        if (kind is null)
            from.Problem(
                "name",
                $"\"{asked}\" is not a kind of figure that a set of this scheme holds; did you mean {NearestNames.To(asked, known.Select(k => k.Name), 1)[0]}? Known are {string.Join(", ", known.Select(k => k.Name))}."
            );
        return kind;
    }

    private static (double Low, double High) Value(WrittenObject from, FigureKind kind)
    {
        var value = from.OptionalNumber("value", 0, kind.Most);
        var (low, high) = (from.OptionalNumber("low", 0, kind.Most), from.OptionalNumber("high", 0, kind.Most));
        var ends = (from.Optional("low") is not null, from.Optional("high") is not null);
        if (ends != (from.Optional("value") is null ? (true, true) : (false, false)))
            from.Problem("name", "give a \"value\", or \"low\" and \"high\" where the source prints a range.");
        else if (low >= high)
            from.Problem("high", "\"high\" must be above \"low\".");
        return value is { } single ? (single, single) : (low ?? 0, high ?? 0);
    }

    private static string Unit(WrittenObject from, FigureKind kind)
    {
        var unit = from.Text("unit");
        if (unit.Length > 0 && !kind.Units.Contains(unit))
            from.Problem("unit", $"\"{unit}\" is no unit of {kind.Name}; use {string.Join(" or ", kind.Units)}.");
        return unit;
    }
}
