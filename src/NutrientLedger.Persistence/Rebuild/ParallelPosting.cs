using System.Text;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>A chunk of batches and which of them each accumulator posts, in order.</summary>
internal sealed record PackShares(PackChunk Chunk, List<CopiedPack>[] OfBooks);

/// <summary>
/// Posts chunks of batches with several processors. A device belongs to one accumulator, so its lines and tiles are
/// nearly always in that one alone. What several accumulators hold of a line or tile adds up to the same in any order.
/// </summary>
internal sealed class ParallelPosting
{
    private const int BytesBetweenWays = 128 << 10;

    private readonly FarmConfiguration register;
    private readonly PostingMemory memory;
    private readonly LedgerAccumulator[] books;
    private readonly long[] posted;
    private readonly Dictionary<string, int> bookOf = [];

    public ParallelPosting(FarmConfiguration configuration, Touched? only, int processors, PostingMemory memory)
    {
        (this.register, this.memory) = (configuration, memory);
        books = [.. Enumerable.Range(0, processors).Select(_ => new LedgerAccumulator(only))];
        posted = new long[books.Length];
    }

    /// <summary>Whether what has rested must be flushed before more is posted.</summary>
    public bool IsFull =>
        books.Sum(book => book.BytesPutAway) > memory.PutAwayBytes
        || books.Sum(book => book.Lines.Count) > memory.Lines;

    /// <summary>
    /// Shares a chunk among the accumulators, device by device. A machine's batches follow each other on the ground,
    /// and its tiles stay in memory.
    /// </summary>
    public PackShares Share(PackChunk chunk)
    {
        var senders = new Dictionary<string, List<CopiedPack>>();
        var known = senders.GetAlternateLookup<ReadOnlySpan<char>>();
        Span<char> id = stackalloc char[256];
        foreach (var pack in chunk.Packs)
        {
            var length = Encoding.UTF8.GetChars(BatchCodec.EquipmentOf(chunk.Bytes(pack)), id);
            if (!known.TryGetValue(id[..length], out var packs))
                known[id[..length]] = packs = [];
            packs.Add(pack);
        }
        var ofBooks = new List<CopiedPack>[books.Length];
        for (var i = 0; i < ofBooks.Length; i++)
            ofBooks[i] = [];
        foreach (var (sender, packs) in senders.OrderByDescending(sender => sender.Value.Count))
        {
            if (!bookOf.TryGetValue(sender, out var book))
                bookOf[sender] = book = Array.IndexOf(posted, posted.Min());
            posted[book] += packs.Count;
            ofBooks[book].AddRange(packs);
        }
        return new(chunk, ofBooks);
    }

    /// <summary>
    /// Posts what was shared, each accumulator by a thread of its own of those that the caller runs on. After some
    /// milliseconds' work each gives way.
    /// </summary>
    public Task PostAsync(
        PackShares shares,
        Func<CancellationToken, ValueTask> giveWay,
        CancellationToken cancellationToken
    )
    {
        return Task.WhenAll(
            books.Select(
                (book, i) =>
                    Task
                        .Factory.StartNew(
                            () => OneAsync(book, shares.Chunk, shares.OfBooks[i]),
                            cancellationToken,
                            TaskCreationOptions.DenyChildAttach,
                            TaskScheduler.Current
                        )
                        .Unwrap()
            )
        );

        async Task OneAsync(LedgerAccumulator book, PackChunk chunk, List<CopiedPack> packs)
        {
            var bytes = 0;
            foreach (var pack in packs)
            {
                var stored = chunk.Bytes(pack);
                bytes += stored.Length;
                book.Post(EventCodec.Decode(pack.StoredName, stored), pack.RecordedAt, register);
                if (bytes < BytesBetweenWays)
                    continue;
                bytes = 0;
                await giveWay(cancellationToken);
            }
            if (book.BytesNoted > memory.NotedBytes / books.Length)
                book.Rest();
        }
    }

    /// <summary>
    /// Takes out what has rested, for each accumulator. See <see cref="LedgerAccumulator.TakeRested"/>.
    /// </summary>
    public LedgerAddition[] TakeRested() => Array.ConvertAll(books, book => book.TakeRested());

    /// <summary>Takes out everything, for each accumulator.</summary>
    public LedgerAddition[] TakeAll()
    {
        var taken = new LedgerAddition[books.Length];
        Parallel.For(
            0,
            books.Length,
            new() { TaskScheduler = TaskScheduler.Current },
            i => taken[i] = books[i].TakeAll()
        );
        return taken;
    }
}
