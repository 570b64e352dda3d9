using Npgsql;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// Some partitions of a farm, to be posted under a configuration from the batches after one position and up to another.
/// </summary>
internal sealed record PostingOrder(
    string FarmId,
    FarmConfiguration Configuration,
    PartitionSet Only,
    long After,
    long UpTo
)
{
    /// <summary>Whether covered ground is posted too.</summary>
    public bool WithCoverage { get; init; } = true;
}

/// <summary>
/// Posts the past from the journal. Replays, corrections, statements, proofs and ledgers as of an earlier position are
/// all this, with other orders and other places for what is posted.
/// </summary>
/// <param name="source">Where the journal is read.</param>
/// <param name="memory">How much is held at a time.</param>
/// <param name="processors">How many threads post.</param>
internal sealed class JournalPosting(NpgsqlDataSource source, PostingMemory memory, int processors)
{
    private readonly CopiedPacks packs = new(source, memory.ChunkBytes);

    /// <summary>
    /// Posts, and hands over what is posted in parts that add up. Returns how many batches were read, and which could
    /// not be posted. While one chunk of batches is posted, the next is read.
    /// </summary>
    public async Task<(long Batches, IReadOnlyList<UnpostedBatch> Unposted)> PostAsync(
        PostingOrder order,
        Func<LedgerAddition[], CancellationToken, Task> write,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    )
    {
        var posting = new ParallelPosting(order, processors, memory);
        var (posted, writing) = (Task.CompletedTask, Task.CompletedTask);
        var batches = 0L;
        PackChunk? inWork = null;
        try
        {
            await foreach (var chunk in packs.ReadAsync(order, cancellationToken))
            {
                var shares = posting.Share(chunk);
                await posted;
                inWork?.Dispose();
                inWork = chunk;
                if (posting.IsFull)
                {
                    await writing;
                    writing = write(posting.TakeRested(), cancellationToken);
                }
                posted = posting.PostAsync(shares, cancellationToken);
                batches += chunk.Packs.Count;
                progress?.Report(new(batches, chunk.Packs[^1].Position, order.UpTo));
            }
        }
        finally
        {
            await Task.WhenAll(posted, writing);
            inWork?.Dispose();
        }
        await write(posting.TakeAll(), cancellationToken);
        var unposted = await posting.Failed.UnpostedAsync(source, order.FarmId, order.Configuration, cancellationToken);
        return (batches, unposted);
    }

    /// <summary>Posts in memory.</summary>
    public async Task<LedgerAddition> PostAsync(
        PostingOrder order,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    )
    {
        var parts = new List<LedgerAddition>();
        var (batches, unposted) = await PostAsync(
            order,
            (some, _) =>
            {
                parts.AddRange(some);
                return Task.CompletedTask;
            },
            progress,
            cancellationToken
        );
        progress?.Report(new(batches, order.UpTo, order.UpTo));
        return LedgerAddition.Together([.. parts, LedgerAddition.None with { Unposted = unposted }]);
    }
}
