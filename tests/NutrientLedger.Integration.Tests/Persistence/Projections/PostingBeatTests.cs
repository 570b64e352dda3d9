using Microsoft.Extensions.Time.Testing;
using NutrientLedger.Persistence.Projections;

namespace NutrientLedger.Integration.Tests.Persistence.Projections;

public sealed class PostingBeatTests
{
    private static readonly TimeSpan Timeout = TimeSpan.FromMinutes(1);

    private readonly FakeTimeProvider clock = new();

    [Fact]
    public async Task The_first_signal_after_a_quiet_time_is_followed_at_once()
    {
        using var beat = new PostingBeat(clock);
        beat.Signal();
        await beat.WaitAsync(Timeout, CancellationToken.None);
        clock.Advance(PostingBeat.Interval);
        beat.Signal();
        Assert.True(beat.WaitAsync(Timeout, CancellationToken.None).IsCompletedSuccessfully);
    }

    [Fact]
    public async Task Signals_in_quick_succession_are_followed_once_an_interval_and_none_is_lost()
    {
        using var beat = new PostingBeat(clock);
        beat.Signal();
        await beat.WaitAsync(Timeout, CancellationToken.None);
        beat.Signal();
        beat.Signal();
        var next = beat.WaitAsync(Timeout, CancellationToken.None);
        clock.Advance(PostingBeat.Interval - TimeSpan.FromMilliseconds(1));
        Assert.False(next.IsCompleted);
        // Heard while it rests: the look after this one follows it.
        beat.Signal();
        clock.Advance(TimeSpan.FromMilliseconds(1));
        await next;
        var last = beat.WaitAsync(Timeout, CancellationToken.None);
        clock.Advance(PostingBeat.Interval);
        await last;
    }

    [Fact]
    public async Task Without_a_signal_the_timeout_ends_the_wait()
    {
        using var beat = new PostingBeat(clock);
        await beat.WaitAsync(TimeSpan.FromMilliseconds(1), CancellationToken.None);
    }
}
