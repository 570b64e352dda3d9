using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Time.Testing;
using MQTTnet;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Persistence.Hubs;

namespace NutrientLedger.Integration.Tests.Ingestion.Commit;

/// <summary>Bugs in the hub itself: the commit loop continues, or the hub ends.</summary>
public sealed class CommitLoopTests
{
    [Fact]
    public async Task A_bug_in_a_commit_is_answered_0x80_and_the_next_message_is_committed()
    {
        await using var host = await IngestionTestHost.StartAsync();
        host.Journal.Fault = (_, _) => new Unspeakable();
        using var device = await host.DeviceAsync();

        var rejected = await device.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous);
        host.Journal.Fault = (_, _) => null;
        var stored = await device.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(MqttClientPublishReasonCode.UnspecifiedError, rejected.ReasonCode);
        Assert.Equal(MqttClientPublishReasonCode.Success, stored.ReasonCode);
    }

    [Fact]
    public async Task A_hub_that_can_no_longer_commit_ends()
    {
        var clock = new BreakingClock();
        await using var host = await IngestionTestHost.StartAsync(clock: clock);
        var stopping = new TaskCompletionSource();
        using var registration = host.Service<IHostApplicationLifetime>()
            .ApplicationStopping.Register(stopping.SetResult);
        using var device = await host.DeviceAsync();
        var code = Environment.ExitCode;
        try
        {
            clock.Broken = true;
            var unanswered = device.PublishLevelAsync(1);
            await stopping.Task.WaitAsync(IngestionTestHost.Generous);
            Assert.Equal(2, Environment.ExitCode);
            Assert.False(unanswered.IsCompleted);
            device.Dispose();
            await Assert.ThrowsAnyAsync<Exception>(() => unanswered.WaitAsync(IngestionTestHost.Generous));
        }
        finally
        {
            // Whether a stopping hub still waits for the current commit is a race; the wait needs a timer.
            clock.Broken = false;
            Environment.ExitCode = code;
        }
    }

    [Fact]
    public async Task A_commit_that_hangs_is_known_to_stand_still()
    {
        var clock = new FakeTimeProvider();
        await using var host = await IngestionTestHost.StartAsync(clock: clock);
        using var released = new ManualResetEventSlim();
        var entered = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        host.Journal.Fault = (_, _) =>
        {
            entered.TrySetResult();
            released.Wait();
            return null;
        };
        using var device = await host.DeviceAsync();
        var commit = host.Service<IHubWork>();
        var publish = device.PublishLevelAsync(1);
        while (!entered.Task.IsCompleted)
        {
            clock.Advance(TimeSpan.FromMilliseconds(20));
            await Task.Yield();
        }

        Assert.Null(commit.Standstill);
        clock.Advance(TimeSpan.FromSeconds(31));
        Assert.Contains("has stood still", commit.Standstill, StringComparison.Ordinal);

        released.Set();
        await publish.WaitAsync(IngestionTestHost.Generous);
        await IngestionTestHost.Until(() => commit.Standstill is null);
    }

    /// <summary>An exception whose message cannot be read.</summary>
    private sealed class Unspeakable : Exception
    {
        public override string Message => throw new InvalidOperationException("no words");
    }

    /// <summary>A clock whose timers fail, which nothing in the queue expects.</summary>
    private sealed class BreakingClock : TimeProvider
    {
        public volatile bool Broken;

        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period) =>
            Broken
                ? throw new InvalidOperationException("The clock broke.")
                : base.CreateTimer(callback, state, dueTime, period);
    }
}
