using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Journal.Fields;

/// <summary>A field was entered with the boundary it has from a day on (farm time).</summary>
public sealed record FieldRegistered(string FieldId, string Name, Boundary Boundary, DateOnly ValidFrom)
    : IJournalEvent;
