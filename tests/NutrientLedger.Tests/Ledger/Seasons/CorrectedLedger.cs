using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// A ledger that keeps what a correction does not affect and posts the rest, as the database does with rows.
/// </summary>
internal sealed class CorrectedLedger(FarmConfiguration configuration, LedgerAccumulator? posted = null)
{
    private FarmConfiguration current = configuration;
    private LedgerAccumulator accumulator = posted ?? new();

    /// <summary>Whether some of the lines were kept.</summary>
    public bool Correct(IJournalEvent[] late, IEnumerable<IJournalEvent> batches, DateTimeOffset recorded)
    {
        var after = late.Aggregate(current, (so, @event) => so.With(@event));
        var touched = Touched.By(late, current, after, WorkedPlace.Of(accumulator.Lines));
        current = after;
        accumulator = touched is null ? new() : accumulator.Untouched(touched);
        var kept = accumulator.Lines.Count > 0;
        foreach (var batch in batches.Where(batch => IsPosted(batch, touched)))
            accumulator.Post(batch, recorded, after);
        return kept;
    }

    public void AssertIs(LedgerAccumulator expected) => SameLedger.Assert(expected, accumulator);

    private static bool IsPosted(IJournalEvent batch, Touched? touched) =>
        batch switch
        {
            SpreadingMeasured spread => touched?.Applicators.Contains(spread.Batch.EquipmentId) ?? true,
            StorageLevelMeasured => touched?.Levels ?? true,
            _ => false,
        };
}
