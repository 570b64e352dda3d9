using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>A ledger that takes corrections by keeping what they do not touch and posting the rest, as the store does with rows.</summary>
internal sealed class CorrectedLedger(FarmConfiguration register, LedgerAccumulator? posted = null)
{
    private FarmConfiguration register = register;
    private LedgerAccumulator book = posted ?? new();

    /// <summary>Whether some of the lines were kept.</summary>
    public bool Correct(IJournalEvent[] late, IEnumerable<IJournalEvent> packs, DateTimeOffset recorded)
    {
        var after = late.Aggregate(register, (so, entry) => so.With(entry));
        var touched = Touched.By(late, register, after, WorkedPlace.Of(book.Lines));
        register = after;
        book = touched is null ? new() : book.Untouched(touched);
        var kept = book.Lines.Count > 0;
        foreach (var pack in packs.Where(pack => IsPosted(pack, touched)))
            book.Post(pack, recorded, after);
        return kept;
    }

    public void AssertIs(LedgerAccumulator expected) => SameLedger.Assert(expected, book);

    private static bool IsPosted(IJournalEvent pack, Touched? touched) =>
        pack switch
        {
            SpreadingMeasured spread => touched?.Applicators.Contains(spread.Batch.EquipmentId) ?? true,
            StorageLevelMeasured => touched?.Levels ?? true,
            _ => false,
        };
}
