using System.Runtime.ExceptionServices;
using System.Text;
using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>
/// Posts chunks of packs with several processors. A sender belongs to one book, so that its lines and tiles are nearly always in that
/// one alone; what several books hold of a line or tile adds up, in any order, to the same.
/// </summary>
internal sealed class ParallelPosting
{
    private readonly Register register;
    private readonly LedgerBook[] books;
    private readonly long[] posted;
    private readonly Dictionary<string, int> bookOf = [];

    public ParallelPosting(Register register, Touched? only, int processors)
    {
        this.register = register;
        books = [.. Enumerable.Range(0, processors).Select(_ => new LedgerBook(only))];
        posted = new long[books.Length];
    }

    /// <summary>How many tiles are held in memory.</summary>
    public int TilesHeld => books.Sum(book => book.TilesHeld);

    /// <summary>How many lines are held in memory.</summary>
    public int LinesHeld => books.Sum(book => book.Lines.Count);

    /// <summary>Posts a chunk, sender by sender: a machine's packs follow each other on the ground, and its tiles stay at hand.</summary>
    public void Post(PackChunk chunk)
    {
        var senders = new Dictionary<string, List<CopiedPack>>();
        var known = senders.GetAlternateLookup<ReadOnlySpan<char>>();
        Span<char> id = stackalloc char[256];
        foreach (var pack in chunk.Packs)
        {
            var length = Encoding.UTF8.GetChars(PackForm.EquipmentOf(chunk.Bytes(pack)), id);
            if (!known.TryGetValue(id[..length], out var packs))
                known[id[..length]] = packs = [];
            packs.Add(pack);
        }
        var shares = new List<List<CopiedPack>>[books.Length];
        for (var i = 0; i < shares.Length; i++)
            shares[i] = [];
        foreach (var (sender, packs) in senders.OrderByDescending(sender => sender.Value.Count))
        {
            if (!bookOf.TryGetValue(sender, out var book))
                bookOf[sender] = book = Array.IndexOf(posted, posted.Min());
            posted[book] += packs.Count;
            shares[book].Add(packs);
        }
        try
        {
            Parallel.For(0, books.Length, i => Post(books[i], shares[i], chunk));
        }
        catch (AggregateException several)
        {
            // What is wrong with a pack is to be told as it is.
            ExceptionDispatchInfo.Throw(several.InnerExceptions[0]);
        }
    }

    /// <summary>Takes out what has rested, for each book; see <see cref="LedgerBook.TakeRested"/>.</summary>
    public LedgerBook[] TakeRested() => Array.ConvertAll(books, book => book.TakeRested());

    /// <summary>Takes the memory of what was taken out and is written; it must not be used any more.</summary>
    public void Reuse(LedgerBook[] written)
    {
        for (var i = 0; i < written.Length; i++)
            books[i].Reuse(written[i]);
    }

    /// <summary>All that is held.</summary>
    public IReadOnlyList<LedgerBook> Books => books;

    private void Post(LedgerBook book, List<List<CopiedPack>> senders, PackChunk chunk)
    {
        foreach (var packs in senders)
        foreach (var pack in packs)
            book.Post(EntryForm.Read(pack.StoredName, chunk.Bytes(pack)), pack.RecordedAt, register);
    }
}
