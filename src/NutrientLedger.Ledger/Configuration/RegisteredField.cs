using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>A field with its boundaries over time. A field exists from the day of its first boundary on.</summary>
public sealed record RegisteredField(string FieldId, string Name, Timeline<Boundary> Boundaries)
{
    /// <summary>The boundary in force at a moment (ms since 1970). Null while the field does not exist.</summary>
    public Boundary? BoundaryAt(long milliseconds) => Boundaries.At(milliseconds);
}
