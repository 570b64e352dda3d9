using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// A ledger posted event by event as the journal grows, and rebuilt at each correction of the past. AnyCorrectionTests
/// shows that only the affected scope needs a rebuild. Given a journal's beginning, it replays that and continues.
/// </summary>
internal sealed class LiveLedger
{
    private readonly List<(IJournalEvent Event, DateTimeOffset RecordedAt)> past;
    private FarmConfiguration configuration;

    public LiveLedger(params IEnumerable<(IJournalEvent Event, DateTimeOffset RecordedAt)> replayed)
    {
        past = [.. replayed];
        configuration = ConfigurationOf(past);
        Ledger = Replay(past);
    }

    public LedgerAddition Ledger { get; private set; }

    /// <summary>All batches posted under the final configuration.</summary>
    public static LedgerAddition Replay(IReadOnlyCollection<(IJournalEvent Event, DateTimeOffset RecordedAt)> journal)
    {
        var (accumulator, configuration) = (new LedgerAccumulator(), ConfigurationOf(journal));
        foreach (var (@event, recordedAt) in journal)
            accumulator.Post(@event, recordedAt, configuration);
        return accumulator.TakeAll();
    }

    public void Post(IJournalEvent @event, DateTimeOffset recordedAt)
    {
        past.Add((@event, recordedAt));
        configuration = configuration.With(@event);
        if (EventTypes.Of(@event).Changes == EventChanges.Rebuild)
        {
            Ledger = Replay(past);
            return;
        }
        var page = new LedgerAccumulator();
        page.Post(@event, recordedAt, configuration);
        Ledger = LedgerAddition.Together([Ledger, page.TakeAll()]);
    }

    private static FarmConfiguration ConfigurationOf(
        IEnumerable<(IJournalEvent Event, DateTimeOffset RecordedAt)> journal
    ) => Some.Configuration(journal.Select(it => it.Event));
}
