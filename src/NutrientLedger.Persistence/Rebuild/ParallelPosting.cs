using System.Text;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Projections;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>A chunk of batches and which of them each accumulator posts, in order.</summary>
internal sealed record PackShares(PackChunk Chunk, List<CopiedPack>[] OfAccumulators);

/// <summary>
/// Posts chunks of batches with several processors. A device belongs to one accumulator, so its lines and tiles are
/// nearly always in that one alone. What several accumulators hold of a line or tile adds up to the same in any order.
/// </summary>
internal sealed class ParallelPosting
{
    private readonly PostingOrder order;
    private readonly PostingMemory memory;
    private readonly LedgerAccumulator[] accumulators;
    private readonly long[] posted;
    private readonly Dictionary<string, int> accumulatorOf = [];

    /// <summary>The batches that could not be posted.</summary>
    public FailedBatches Failed { get; } = new();

    public ParallelPosting(PostingOrder order, int processors, PostingMemory memory)
    {
        (this.order, this.memory) = (order, memory);
        accumulators =
        [
            .. Enumerable.Range(0, processors).Select(_ => new LedgerAccumulator(order.Only, order.WithCoverage)),
        ];
        posted = new long[accumulators.Length];
    }

    /// <summary>Whether what has rested must be flushed before more is posted.</summary>
    public bool IsFull =>
        accumulators.Sum(accumulator => accumulator.BytesPutAway) > memory.PutAwayBytes
        || accumulators.Sum(accumulator => accumulator.Lines.Count) > memory.Lines;

    /// <summary>
    /// Shares a chunk among the accumulators, device by device. A machine's batches follow each other on the ground,
    /// and its tiles stay in memory.
    /// </summary>
    public PackShares Share(PackChunk chunk)
    {
        var devices = new Dictionary<string, List<CopiedPack>>();
        var known = devices.GetAlternateLookup<ReadOnlySpan<char>>();
        Span<char> id = stackalloc char[256];
        foreach (var pack in chunk.Packs)
        {
            var length = DeviceOf(chunk.Bytes(pack), id);
            if (!known.TryGetValue(id[..length], out var packs))
                known[id[..length]] = packs = [];
            packs.Add(pack);
        }
        var ofAccumulators = new List<CopiedPack>[accumulators.Length];
        for (var i = 0; i < ofAccumulators.Length; i++)
            ofAccumulators[i] = [];
        foreach (var (name, packs) in devices.OrderByDescending(device => device.Value.Count))
        {
            if (!accumulatorOf.TryGetValue(name, out var accumulator))
                accumulatorOf[name] = accumulator = Array.IndexOf(posted, posted.Min());
            posted[accumulator] += packs.Count;
            ofAccumulators[accumulator].AddRange(packs);
        }
        return new(chunk, ofAccumulators);
    }

    /// <summary>Reads a batch's device. One that cannot be read has none, and is noted when it is posted.</summary>
    private static int DeviceOf(ReadOnlySpan<byte> batch, Span<char> id)
    {
        try
        {
            return Encoding.UTF8.TryGetChars(BatchCodec.EquipmentOf(batch), id, out var length) ? length : 0;
        }
        catch (FormatException)
        {
            return 0;
        }
    }

    /// <summary>Posts what was shared, each accumulator on a thread of its own.</summary>
    public Task PostAsync(PackShares shares, CancellationToken cancellationToken) =>
        Task.WhenAll(
            accumulators.Select(
                (accumulator, i) =>
                    Task.Run(() => Post(accumulator, shares.Chunk, shares.OfAccumulators[i]), cancellationToken)
            )
        );

    /// <summary>
    /// Takes out what has rested, for each accumulator. See <see cref="LedgerAccumulator.TakeRested"/>.
    /// </summary>
    public LedgerAddition[] TakeRested() => Array.ConvertAll(accumulators, accumulator => accumulator.TakeRested());

    /// <summary>Takes out everything, for each accumulator.</summary>
    public LedgerAddition[] TakeAll()
    {
        var taken = new LedgerAddition[accumulators.Length];
        Parallel.For(0, accumulators.Length, i => taken[i] = accumulators[i].TakeAll());
        return taken;
    }

    private void Post(LedgerAccumulator accumulator, PackChunk chunk, List<CopiedPack> packs)
    {
        foreach (var pack in packs)
            Failed.Try(
                pack.Position,
                () =>
                    accumulator.Post(
                        EventCodec.Decode(pack.StoredName, chunk.Bytes(pack)),
                        pack.RecordedAt,
                        order.Configuration
                    )
            );
        if (accumulator.BytesNoted > memory.NotedBytes / accumulators.Length)
            accumulator.Rest();
    }
}
