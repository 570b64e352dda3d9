using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Journal.Fields;

/// <summary>A field's boundary was drawn anew and holds from a day on (farm time), for the reason given.</summary>
public sealed record BoundaryRedrawn(string FieldId, Boundary Boundary, DateOnly ValidFrom, string Reason)
    : IJournalEvent;
