using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>Posts a farm's past from the journal into memory.</summary>
internal sealed class JournalPosting(JournalReader journal)
{
    /// <summary>Batches between two reports of progress.</summary>
    private const int ProgressEvery = 1_000;

    /// <summary>
    /// Posts a farm's ledger from the journal up to a position into an accumulator. Tiles that rest are evicted, so
    /// that a season fits. Returns the most tiles that were open at once.
    /// </summary>
    public async Task<int> PostAllAsync(
        LedgerAccumulator accumulator,
        string farmId,
        FarmConfiguration configuration,
        long upTo,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken,
        long? notedBytes = null
    )
    {
        var (batches, most, many) = (0, 0, notedBytes ?? PostingMemory.Default.NotedBytes);
        await foreach (var row in journal.BatchesAsync(farmId, 0, upTo, cancellationToken))
        {
            accumulator.Post(row.Event, row.RecordedAt, configuration);
            most = Math.Max(most, accumulator.TilesOpen);
            if (accumulator.BytesNoted > many)
                accumulator.Rest();
            if (++batches % ProgressEvery == 0)
                progress?.Report(new(batches, row.Position, upTo));
        }
        progress?.Report(new(batches, upTo, upTo));
        return most;
    }
}
