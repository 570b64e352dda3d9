using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// All boundaries of the farm and of the file, by the day from which they hold, and the days on which two fields
/// overlap.
/// </summary>
internal sealed class FieldOverlaps
{
    private readonly DrawnBoundaries drawn;

    private readonly Dictionary<string, int> lines = [];

    public FieldOverlaps(FarmConfiguration configuration, IReadOnlyList<FieldFeature> features)
    {
        drawn = new(configuration);
        // A field without a valid id or boundary is already reported and cannot be compared.
        foreach (var (line, field, _) in features)
            if (field.FieldId.Length > 0 && !field.Boundary.Parts.IsEmpty && lines.TryAdd(field.FieldId, line))
                drawn.Draw(field.FieldId, field.ValidFrom, field.Boundary);
    }

    public void Report(FileProblems problems)
    {
        string[] fields = [.. drawn.Keys];
        for (var i = 0; i < fields.Length; i++)
        for (var j = 0; j < i; j++)
            if (Line(fields[i], fields[j]) is { } line && Shared(drawn[fields[i]], drawn[fields[j]]) is var (day, area))
                problems.Add(
                    line,
                    FormattableString.Invariant(
                        $"fields \"{fields[j]}\" and \"{fields[i]}\" overlap by {area:0} m² from {day:yyyy-MM-dd}; redraw one of them{OrWithdraw(fields[j], fields[i])}."
                    )
                );
    }

    /// <summary>
    /// The line to fix in the file. Null when neither field is in the file, because both were accepted before.
    /// </summary>
    private int? Line(string one, string other) =>
        lines.TryGetValue(one, out var line) || lines.TryGetValue(other, out line) ? line : null;

    private string OrWithdraw(params ReadOnlySpan<string> fields)
    {
        foreach (var field in fields)
            if (!lines.ContainsKey(field))
                return $", or take back \"{field}\" with --withdraw, because it is not in the file";
        return "";
    }

    private static (DateOnly Day, double SquareMetres)? Shared(
        SortedDictionary<DateOnly, Boundary> one,
        SortedDictionary<DateOnly, Boundary> other
    )
    {
        foreach (var day in one.Keys.Union(other.Keys).Order())
            if (
                InForce(one, day) is { } a
                && InForce(other, day) is { } b
                && BoundaryOverlap.SquareMetres(a, b) is var area and > BoundaryOverlap.SliverSquareMetres
            )
                return (day, area);
        return null;
    }

    private static Boundary? InForce(SortedDictionary<DateOnly, Boundary> boundaries, DateOnly day) =>
        boundaries.LastOrDefault(pair => pair.Key <= day).Value;
}
