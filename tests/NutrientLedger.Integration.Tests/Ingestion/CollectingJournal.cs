using System.Collections.Concurrent;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Integration.Tests.Ingestion;

/// <summary>A journal in memory that a test can block and make fail.</summary>
internal sealed class CollectingJournal : IJournal
{
    private readonly TaskCompletionSource begun = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private TaskCompletionSource gate = Open();

    /// <summary>Called before every commit stores; it may throw.</summary>
    public Func<IReadOnlyList<DecodedMessage>, IReadOnlyList<RejectedMessage>, Exception?> Fault { get; set; } =
        (_, _) => null;

    /// <summary>Why it takes no messages, though they are sound; null when it takes them.</summary>
    public string? Quota { get; set; }

    /// <summary>What becomes of each message instead of being stored; null when it is stored.</summary>
    public Func<DecodedMessage, AppendResult>? Answer { get; set; }

    public ConcurrentQueue<DecodedMessage> Batches { get; } = [];

    public ConcurrentQueue<RejectedMessage> Rejected { get; } = [];

    public ConcurrentQueue<int> BatchSizes { get; } = [];

    public int Attempts;

    /// <summary>How many messages the current commit got.</summary>
    public int InCommit;

    /// <summary>Completes when the first commit has begun.</summary>
    public Task Begun => begun.Task;

    /// <summary>The seq of each stored batch of stream store, in order of arrival.</summary>
    public IEnumerable<long> Seqs => Batches.Select(batch => ((StorageLevelMeasured)batch.Event).Batch.FirstSeq);

    public void Hold() => gate = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public void Release() => gate.TrySetResult();

    public async Task<IReadOnlyList<AppendResult>> AppendAsync(
        IReadOnlyList<DecodedMessage> arrived,
        IReadOnlyList<RejectedMessage> rejected,
        CancellationToken cancellationToken
    )
    {
        Interlocked.Increment(ref Attempts);
        InCommit = arrived.Count + rejected.Count;
        begun.TrySetResult();
        await gate.Task.WaitAsync(cancellationToken);
        if (Fault(arrived, rejected) is { } fault)
            throw fault;
        if (Quota is { } full)
            return [.. arrived.Select(_ => new AppendResult.OverQuota(full))];
        if (Answer is { } answer)
            return [.. arrived.Select(answer)];
        foreach (var batch in arrived)
            Batches.Enqueue(batch);
        foreach (var message in rejected)
            Rejected.Enqueue(message);
        BatchSizes.Enqueue(arrived.Count + rejected.Count);
        return [.. arrived.Select(_ => new AppendResult.Stored(1, 0, 0))];
    }

    public Task<IReadOnlyList<AcknowledgementWatermark>> WatermarksAsync(
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    )
    {
        var highest = Seqs.DefaultIfEmpty().Max();
        return Task.FromResult<IReadOnlyList<AcknowledgementWatermark>>([
            .. devices.Select(device => new AcknowledgementWatermark(
                device,
                TelemetryStream.Store,
                1,
                highest,
                highest
            )),
        ]);
    }

    private static TaskCompletionSource Open()
    {
        var open = new TaskCompletionSource();
        open.SetResult();
        return open;
    }
}
