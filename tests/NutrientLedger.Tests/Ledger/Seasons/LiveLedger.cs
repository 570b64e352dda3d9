using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// A ledger that is posted entry by entry as the journal grows, and posted anew at each correction of the past (that only what is touched need
/// be is shown by AnyCorrectionTests). One that is given a journal's beginning holds the replay of that and goes on from there.
/// </summary>
internal sealed class LiveLedger
{
    private readonly List<(IEntry Entry, DateTimeOffset RecordedAt)> past;
    private Register register;

    public LiveLedger(params IEnumerable<(IEntry Entry, DateTimeOffset RecordedAt)> replayed)
    {
        past = [.. replayed];
        register = RegisterOf(past);
        Book = Replay(past);
    }

    public LedgerBook Book { get; private set; }

    /// <summary>All packs posted under the register of the end.</summary>
    public static LedgerBook Replay(IReadOnlyCollection<(IEntry Entry, DateTimeOffset RecordedAt)> journal)
    {
        var (book, register) = (new LedgerBook(), RegisterOf(journal));
        foreach (var (entry, recordedAt) in journal)
            book.Post(entry, recordedAt, register);
        return book;
    }

    public void Post(IEntry entry, DateTimeOffset recordedAt)
    {
        past.Add((entry, recordedAt));
        register = register.With(entry);
        if (Register.ChangesLines(entry))
            Book = Replay(past);
        else
            Book.Post(entry, recordedAt, register);
    }

    private static Register RegisterOf(IEnumerable<(IEntry Entry, DateTimeOffset RecordedAt)> journal) =>
        Some.Register(journal.Select(it => it.Entry));
}
