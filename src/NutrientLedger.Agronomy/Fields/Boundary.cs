using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Fields;

/// <summary>A closed ring of at least three corners. The last corner joins the first, which is not repeated.</summary>
public sealed record Ring(ImmutableArray<GeoPoint> Corners);

/// <summary>One part of a field: an outer ring and its holes (a pond, a yard, a stand of trees).</summary>
public sealed record BoundaryPart(Ring Outer, ImmutableArray<Ring> Holes);

/// <summary>The outline of a field on the ground, in one or more parts.</summary>
public sealed record Boundary(ImmutableArray<BoundaryPart> Parts);
