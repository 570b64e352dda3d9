using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// A ledger of which a correction posts some partitions again and keeps the others, as the database does.
/// </summary>
internal sealed class CorrectedLedger(FarmConfiguration configuration, LedgerAddition? posted = null)
{
    private FarmConfiguration current = configuration;
    private LedgerAddition ledger = posted ?? LedgerAddition.None;

    /// <summary>Whether some of the lines were kept.</summary>
    public bool Correct(IJournalEvent[] late, IReadOnlyCollection<IJournalEvent> batches, DateTimeOffset recorded)
    {
        var after = late.Aggregate(current, (so, @event) => so.With(@event));
        var correction = new Correction(late, current, after);
        var partitions = correction.Partitions(readings => Spans(readings, batches), WorkedPlace.Of(ledger.Lines));
        var kept = ledger.Without(partitions);
        var seasons = correction.Seasons(readings => Spans(readings, batches));
        Assert.True(
            partitions == PartitionSet.Everything || seasons.Holds(partitions),
            "A partition is posted again whose season has no statement."
        );
        current = after;
        var again = new LedgerAccumulator(partitions);
        foreach (var batch in batches)
            again.Post(batch, recorded, after);
        ledger = LedgerAddition.Together([kept, again.TakeAll()]);
        return kept.Lines.Count > 0;
    }

    public void AssertIs(LedgerAddition expected) => SameLedger.Assert(expected, ledger);

    /// <summary>As the journal's index has them: of whole batches, neighbours included.</summary>
    private static IEnumerable<MeasuredSpan> Spans(
        RebuildScope.ReadingsOf readings,
        IEnumerable<IJournalEvent> batches
    ) =>
        from spread in batches.OfType<SpreadingMeasured>()
        let batch = spread.Batch
        where batch.EquipmentId == readings.EquipmentId && batch.Boot == readings.Boot
        where batch.FirstSeq - 1 <= readings.LastSeq && batch.LastSeq >= readings.FirstSeq - 1
        let times = batch.WithNeighbours().Select(reading => reading.MeasuredAtMilliseconds).ToList()
        select new MeasuredSpan(times.Min(), times.Max());
}
