using Microsoft.Extensions.Time.Testing;
using NutrientLedger.Ingestion.Broker;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

public sealed class ReconnectDelaysTests
{
    private readonly FakeTimeProvider clock = new();
    private readonly ReconnectDelays delays;

    public ReconnectDelaysTests() => delays = new(clock);

    [Fact]
    public async Task The_delay_doubles_up_to_a_minute_and_is_forgotten_after_a_commit()
    {
        foreach (var seconds in (int[])[1, 2, 4, 8, 16, 32, 60, 60])
        {
            delays.Grow("gauge-1");
            // Messages of the same connection that are over the limit too do not let it grow further.
            delays.Grow("gauge-1");
            var accepted = delays.WaitAsync("gauge-1", CancellationToken.None);
            clock.Advance(TimeSpan.FromSeconds(seconds) - TimeSpan.FromMilliseconds(1));
            Assert.False(accepted.IsCompleted);
            Assert.True(delays.WaitAsync("gauge-2", CancellationToken.None).IsCompletedSuccessfully);
            clock.Advance(TimeSpan.FromMilliseconds(1));
            await accepted;
        }

        delays.Forget("gauge-1");
        Assert.True(delays.WaitAsync("gauge-1", CancellationToken.None).IsCompletedSuccessfully);
        delays.Grow("gauge-1");
        var next = delays.WaitAsync("gauge-1", CancellationToken.None);
        clock.Advance(TimeSpan.FromSeconds(1));
        await next;
    }

    [Fact]
    public async Task A_closed_connection_ends_its_wait()
    {
        delays.Grow("gauge-1");
        using var closed = new CancellationTokenSource();
        var waiting = delays.WaitAsync("gauge-1", closed.Token);

        await closed.CancelAsync();

        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => waiting);
    }
}
