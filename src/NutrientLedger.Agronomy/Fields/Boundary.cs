using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Fields;

/// <summary>A closed ring of at least three corners; the last corner joins the first without being repeated.</summary>
public sealed record Ring(ImmutableArray<GeoPoint> Corners);

/// <summary>One piece of a field: an outer ring and the holes cut out of it (a pond, a yard, a stand of trees).</summary>
public sealed record BoundaryPart(Ring Outer, ImmutableArray<Ring> Holes);

/// <summary>The outline of a field on the ground, in one or more pieces.</summary>
public sealed record Boundary(ImmutableArray<BoundaryPart> Parts);
