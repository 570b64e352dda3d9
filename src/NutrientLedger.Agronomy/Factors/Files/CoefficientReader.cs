using NutrientLedger.Json;

namespace NutrientLedger.Agronomy.Factors.Files;

/// <summary>Reads one coefficient of a factor file.</summary>
internal static class CoefficientReader
{
    public static Coefficient? Read(PositionedJsonValue item, FactorSet set, FileProblems problems)
    {
        var name = item.Members.FirstOrDefault(member => member.Name == "name")?.Value.Text;
        var from = new JsonObjectReader($"Coefficient {name}".TrimEnd(), item, problems);
        if (!from.IsObject || Kind(from, set) is not { } kind)
            return null;
        var (low, high) = Value(from, kind);
        var coefficient = new Coefficient(
            from.Text("name"),
            kind,
            low,
            high,
            Unit(from, kind),
            from.OptionalText("source") ?? set.Source,
            from.Text("place"),
            from.Word<SourceMark>("mark"),
            from.Conditions(kind, problems),
            from.OptionalNumber("atDryMatterPercent", 1, 100),
            from.OptionalText("note")
        );
        from.RejectUnknownMembers();
        return coefficient;
    }

    private static CoefficientKind? Kind(JsonObjectReader from, FactorSet set)
    {
        if (from.Text("name") is not { Length: > 0 } name)
            return null;
        var known = SchemeKinds.Of(set.Scheme);
        var asked = name.Split('/')[0];
        var kind = known.FirstOrDefault(kind => kind.Name == asked);
        if (kind is null)
            from.AddProblem(
                "name",
                $"\"{asked}\" is not a kind of coefficient in this scheme; did you mean {NearestNames.To(asked, known.Select(k => k.Name), 1)[0]}? The known kinds are {string.Join(", ", known.Select(k => k.Name))}."
            );
        return kind;
    }

    private static (double Low, double High) Value(JsonObjectReader from, CoefficientKind kind)
    {
        var value = from.OptionalNumber("value", 0, kind.Max);
        var (low, high) = (from.OptionalNumber("low", 0, kind.Max), from.OptionalNumber("high", 0, kind.Max));
        var ends = (from.Optional("low") is not null, from.Optional("high") is not null);
        if (ends != (from.Optional("value") is null ? (true, true) : (false, false)))
            from.AddProblem("name", "give a \"value\", or \"low\" and \"high\" where the source prints a range.");
        else if (low >= high)
            from.AddProblem("high", "\"high\" must be above \"low\".");
        return value is { } single ? (single, single) : (low ?? 0, high ?? 0);
    }

    private static string Unit(JsonObjectReader from, CoefficientKind kind)
    {
        var unit = from.Text("unit");
        if (unit.Length > 0 && !kind.Units.Contains(unit))
            from.AddProblem("unit", $"\"{unit}\" is not a unit of {kind.Name}; use {string.Join(" or ", kind.Units)}.");
        return unit;
    }
}
