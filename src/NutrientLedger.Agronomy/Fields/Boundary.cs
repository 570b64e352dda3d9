using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// A closed ring of at least three corners. The last corner joins the first, which is not repeated. Rings are equal
/// when they have the same corners in the same order.
/// </summary>
public sealed record Ring(ImmutableArray<GeoPoint> Corners)
{
    public bool Equals(Ring? other) => other is not null && Corners.SequenceEqual(other.Corners);

    public override int GetHashCode() => HashCode.Combine(Corners.Length, Corners.FirstOrDefault());
}

/// <summary>One part of a field: an outer ring and its holes (a pond, a yard, a stand of trees).</summary>
public sealed record BoundaryPart(Ring Outer, ImmutableArray<Ring> Holes)
{
    public bool Equals(BoundaryPart? other) =>
        other is not null && Outer == other.Outer && Holes.SequenceEqual(other.Holes);

    public override int GetHashCode() => HashCode.Combine(Outer, Holes.Length);
}

/// <summary>The outline of a field or of a zone on the ground, in one or more parts.</summary>
public sealed record Boundary(ImmutableArray<BoundaryPart> Parts)
{
    public bool Equals(Boundary? other) => other is not null && Parts.SequenceEqual(other.Parts);

    public override int GetHashCode() => HashCode.Combine(Parts.Length, Parts.FirstOrDefault());
}
