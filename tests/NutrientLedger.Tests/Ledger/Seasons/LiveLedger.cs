using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// A ledger that is posted entry by entry as the journal grows, and posted anew at each correction of the past (that only what is touched need
/// be is shown by AnyCorrectionTests). One that is given a journal's beginning holds the replay of that and goes on from there.
/// </summary>
internal sealed class LiveLedger
{
    private readonly List<(IJournalEvent Entry, DateTimeOffset RecordedAt)> past;
    private FarmConfiguration register;

    public LiveLedger(params IEnumerable<(IJournalEvent Entry, DateTimeOffset RecordedAt)> replayed)
    {
        past = [.. replayed];
        register = RegisterOf(past);
        Book = Replay(past);
    }

    public LedgerAccumulator Book { get; private set; }

    /// <summary>All packs posted under the register of the end.</summary>
    public static LedgerAccumulator Replay(
        IReadOnlyCollection<(IJournalEvent Entry, DateTimeOffset RecordedAt)> journal
    )
    {
        var (book, register) = (new LedgerAccumulator(), RegisterOf(journal));
        foreach (var (entry, recordedAt) in journal)
            book.Post(entry, recordedAt, register);
        return book;
    }

    public void Post(IJournalEvent entry, DateTimeOffset recordedAt)
    {
        past.Add((entry, recordedAt));
        register = register.With(entry);
        if (EventTypes.Of(entry).Changes == EventChanges.Rebuild)
            Book = Replay(past);
        else
            Book.Post(entry, recordedAt, register);
    }

    private static FarmConfiguration RegisterOf(
        IEnumerable<(IJournalEvent Entry, DateTimeOffset RecordedAt)> journal
    ) => Some.Register(journal.Select(it => it.Entry));
}
