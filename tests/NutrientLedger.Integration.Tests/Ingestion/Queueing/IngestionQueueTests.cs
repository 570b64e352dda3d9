using Microsoft.Extensions.Time.Testing;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Integration.Tests.Ingestion.Queueing;

public sealed class IngestionQueueTests : IDisposable
{
    private static readonly IngestionLimits Limits = new();

    private readonly FakeTimeProvider clock = new();
    private readonly IngestionQueue queue;

    public IngestionQueueTests() => queue = new(Limits, clock);

    public void Dispose() => queue.Dispose();

    [Fact]
    public async Task After_a_quiet_time_a_message_waits_shortly_for_others()
    {
        Assert.True(Limits.CommitWait < Limits.BusyCommitWait);
        Assert.Equal(1, await FilledAfterAsync(Limits.CommitWait));

        clock.Advance(TimeSpan.FromSeconds(1));
        Assert.Equal(1, await FilledAfterAsync(Limits.CommitWait));
    }

    [Fact]
    public async Task In_a_steady_stream_it_waits_longer_and_later_ones_join()
    {
        await FilledAfterAsync(Limits.CommitWait);
        clock.Advance(TimeSpan.FromMilliseconds(10));

        await AdmitAsync();
        var group = new List<QueuedMessage>();
        var filled = queue.FillAsync(group);
        clock.Advance(Limits.CommitWait);
        await AdmitAsync();
        // It joins on another thread, before the wait is over.
        await IngestionTestHost.Until(() => group.Count == 2);
        Assert.False(filled.IsCompleted);
        // Its timer may be set only after the clock was moved.
        await IngestionTestHost.Until(() =>
        {
            clock.Advance(Limits.BusyCommitWait);
            return filled.IsCompleted;
        });

        Assert.True(await filled);
        Assert.Equal(2, group.Count);
    }

    [Fact]
    public async Task A_full_group_does_not_wait()
    {
        for (var i = 0; i <= Limits.CommitMessagesMax; i++)
            await AdmitAsync();
        var group = new List<QueuedMessage>();

        Assert.True(await queue.FillAsync(group));
        Assert.Equal(Limits.CommitMessagesMax, group.Count);
    }

    private async Task<int> FilledAfterAsync(TimeSpan wait)
    {
        await AdmitAsync();
        var group = new List<QueuedMessage>();
        var filled = queue.FillAsync(group);
        clock.Advance(wait - TimeSpan.FromMilliseconds(1));
        Assert.False(filled.IsCompleted);
        clock.Advance(TimeSpan.FromMilliseconds(1));
        Assert.True(await filled);
        return group.Count;
    }

    private async Task AdmitAsync() =>
        Assert.True(
            await queue.AdmitAsync(
                new("topic", null, [], new DecodeResult.Rejected("invented"), clock.GetTimestamp()),
                CancellationToken.None
            )
        );
}
