using System.Collections.Immutable;
using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Ledger;

/// <summary>All fields with the boundaries that are in force together, made to find the field of a point quickly.</summary>
internal sealed class FieldMap
{
    private readonly ImmutableArray<Outline> outlines;

    private FieldMap(ImmutableArray<Outline> outlines) => this.outlines = outlines;

    /// <summary>The maps of a farm, one for each moment at which any boundary changes; fields come in ordinal order of their ids.</summary>
    public static Timeline<FieldMap> OverTime(IReadOnlyCollection<RegisteredField> fields)
    {
        var moments = fields.SelectMany(field => field.Boundaries.Changes).Select(change => change.FromMilliseconds);
        return new(moments.Distinct().Select(moment => (moment, At(fields, moment))));
    }

    /// <summary>The field that holds a point; should fields overlap, the one whose id comes first.</summary>
    public RegisteredField? Holding(GeoPoint point)
    {
        foreach (ref readonly var outline in outlines.AsSpan())
            if (outline.Box.Holds(point) && BoundaryLocation.Holds(outline.Boundary, point))
                return outline.Field;
        return null;
    }

    private static FieldMap At(IEnumerable<RegisteredField> fields, long moment) =>
        new([
            .. from field in fields
            let boundary = field.BoundaryAt(moment)
            where boundary is not null
            select new Outline(BoundaryBox.Around(boundary), boundary, field),
        ]);

    private readonly record struct Outline(BoundaryBox Box, Boundary Boundary, RegisteredField Field);
}
