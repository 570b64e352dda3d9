using System.Collections.Immutable;
using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// All fields with the boundaries that are in force together, indexed to find the field of a point quickly.
/// </summary>
internal sealed class FieldMap
{
    private readonly ImmutableArray<Outline> outlines;

    private FieldMap(ImmutableArray<Outline> outlines) => this.outlines = outlines;

    /// <summary>
    /// The maps of a farm, one for each moment at which any boundary changes. Fields are in ordinal order of their ids.
    /// </summary>
    public static Timeline<FieldMap> OverTime(IReadOnlyCollection<RegisteredField> fields)
    {
        var moments = fields.SelectMany(field => field.Boundaries.Changes).Select(change => change.FromMilliseconds);
        return new(moments.Distinct().Select(moment => (moment, At(fields, moment))));
    }

    /// <summary>
    /// The field that holds a point. If fields overlap, the one whose id comes first. Points come one after another:
    /// the field of the last one (−1 at first) is tried first. Then only fields with a lower id that may overlap it.
    /// </summary>
    public RegisteredField? Holding(GeoPoint point, ref int lastFound)
    {
        if (lastFound >= 0 && outlines[lastFound].Holds(point))
        {
            foreach (var earlier in outlines[lastFound].EarlierNear)
                if (outlines[earlier].Holds(point))
                    return outlines[lastFound = earlier].Field;
            return outlines[lastFound].Field;
        }
        for (var i = 0; i < outlines.Length; i++)
            if (outlines[i].Holds(point))
                return outlines[lastFound = i].Field;
        return null;
    }

    private static FieldMap At(IEnumerable<RegisteredField> fields, long moment)
    {
        var outlines = new List<Outline>();
        foreach (var field in fields)
        {
            if (field.BoundaryAt(moment) is not { } boundary)
                continue;
            var box = BoundaryBox.Around(boundary);
            int[] near = [.. Enumerable.Range(0, outlines.Count).Where(earlier => outlines[earlier].Box.Meets(box))];
            outlines.Add(new(box, boundary, field, near));
        }
        return new([.. outlines]);
    }

    private sealed record Outline(BoundaryBox Box, Boundary Boundary, RegisteredField Field, int[] EarlierNear)
    {
        public bool Holds(GeoPoint point) => Box.Holds(point) && BoundaryLocation.Holds(Boundary, point);
    }
}
