using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>The boundaries of each field that count, by the day from which they hold (farm time).</summary>
internal sealed class DrawnBoundaries : SortedDictionary<string, SortedDictionary<DateOnly, Boundary>>
{
    public DrawnBoundaries(FarmConfiguration configuration)
        : base(StringComparer.Ordinal)
    {
        foreach (var entry in configuration.Recorded<IJournalEvent>())
            if (entry is FieldRegistered field)
                Draw(field.FieldId, field.ValidFrom, field.Boundary);
            else if (entry is BoundaryRedrawn redrawn)
                Draw(redrawn.FieldId, redrawn.ValidFrom, redrawn.Boundary);
    }

    /// <summary>The boundaries of a field; none where it is unknown.</summary>
    public SortedDictionary<DateOnly, Boundary> Of(string field) => TryGetValue(field, out var drawn) ? drawn : [];

    public void Draw(string field, DateOnly from, Boundary boundary)
    {
        if (!TryGetValue(field, out var drawn))
            this[field] = drawn = [];
        drawn[from] = boundary;
    }
}
