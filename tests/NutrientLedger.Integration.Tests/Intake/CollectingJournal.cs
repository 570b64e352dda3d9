using System.Collections.Concurrent;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Store;

namespace NutrientLedger.Integration.Tests.Intake;

/// <summary>A journal in memory that can be held up, and made to fail, by the test.</summary>
internal sealed class CollectingJournal : IJournal
{
    private readonly TaskCompletionSource begun = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private TaskCompletionSource gate = Open();

    /// <summary>What every commit does before it stores; it may throw.</summary>
    public Func<IReadOnlyList<ArrivedPack>, IReadOnlyList<RefusedMessage>, Exception?> Fault { get; set; } =
        (_, _) => null;

    public ConcurrentQueue<ArrivedPack> Packs { get; } = [];

    public ConcurrentQueue<RefusedMessage> Refused { get; } = [];

    public ConcurrentQueue<int> BatchSizes { get; } = [];

    public int Attempts;

    /// <summary>How many messages the commit under way was offered.</summary>
    public int Offered;

    /// <summary>Completes when the first commit has begun.</summary>
    public Task Begun => begun.Task;

    /// <summary>The seq of each stored pack of stream store, in order of arrival.</summary>
    public IEnumerable<long> Seqs => Packs.Select(pack => ((StorageLevelMeasured)pack.Entry).Pack.FirstSeq);

    public void Hold() => gate = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public void Release() => gate.TrySetResult();

    public async Task<IReadOnlyList<AppendFate>> AppendAsync(
        IReadOnlyList<ArrivedPack> arrived,
        IReadOnlyList<RefusedMessage> refused,
        CancellationToken cancellationToken
    )
    {
        Interlocked.Increment(ref Attempts);
        Offered = arrived.Count + refused.Count;
        begun.TrySetResult();
        await gate.Task.WaitAsync(cancellationToken);
        if (Fault(arrived, refused) is { } fault)
            throw fault;
        foreach (var pack in arrived)
            Packs.Enqueue(pack);
        foreach (var message in refused)
            Refused.Enqueue(message);
        BatchSizes.Enqueue(arrived.Count + refused.Count);
        return [.. arrived.Select(_ => new AppendFate.Stored(1, 0, 0))];
    }

    public Task<IReadOnlyList<StoredMark>> MarksAsync(
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    )
    {
        var highest = Seqs.DefaultIfEmpty().Max();
        return Task.FromResult<IReadOnlyList<StoredMark>>([
            .. devices.Select(device => new StoredMark(device, TelemetryStream.Store, 1, highest, highest)),
        ]);
    }

    private static TaskCompletionSource Open()
    {
        var open = new TaskCompletionSource();
        open.SetResult();
        return open;
    }
}
