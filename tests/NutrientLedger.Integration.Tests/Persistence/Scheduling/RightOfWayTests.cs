using Microsoft.Extensions.Time.Testing;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Integration.Tests.Persistence.Scheduling;

/// <summary>Background work waits while a message is under way, and never for long.</summary>
public sealed class RightOfWayTests
{
    private readonly FakeTimeProvider clock = new();
    private readonly RightOfWay way;

    public RightOfWayTests() => way = new(clock);

    [Fact]
    public void Nothing_waits_while_no_message_is_under_way() => Assert.True(Give().IsCompletedSuccessfully);

    [Fact]
    public async Task A_message_goes_first_while_it_is_appended_and_while_it_is_posted()
    {
        way.AppendBegins();
        var given = Give();
        Assert.False(given.IsCompleted);
        way.AppendEnds();
        await ReadAsync(given);

        way.PageBegins();
        given = Give();
        Assert.False(given.IsCompleted);
        way.PageEnds();
        await ReadAsync(given);
    }

    [Fact]
    public async Task A_message_appended_while_an_event_batch_is_posted_goes_first_until_both_are_over()
    {
        way.PageBegins();
        way.AppendBegins();
        var given = Give();
        way.PageEnds();
        Assert.False(given.IsCompleted);
        way.AppendEnds();
        await ReadAsync(given);
    }

    [Fact]
    public async Task Appends_at_once_go_first_until_the_last_has_ended()
    {
        way.AppendBegins();
        way.AppendBegins();
        var given = Give();
        way.AppendEnds();
        Assert.False(given.IsCompleted);
        way.AppendEnds();
        await ReadAsync(given);
    }

    [Fact]
    public async Task Committed_rows_can_be_read_before_background_work_continues()
    {
        way.PageBegins();
        way.PageEnds();
        var given = Give();
        clock.Advance(RightOfWay.Reading - TimeSpan.FromMilliseconds(1));
        Assert.False(given.IsCompleted);
        clock.Advance(TimeSpan.FromMilliseconds(1));
        await given.WaitAsync(PersistenceTestHost.Patience);
        Assert.True(Give().IsCompletedSuccessfully);
    }

    [Fact]
    public void A_retried_event_batch_is_over_when_it_is_committed()
    {
        way.PageBegins();
        way.PageBegins();
        Assert.False(Give().IsCompleted);
        way.PageEnds();
        clock.Advance(RightOfWay.Reading);
        Assert.True(Give().IsCompletedSuccessfully);
    }

    [Fact]
    public async Task Background_work_waits_only_briefly_although_messages_never_stop()
    {
        way.AppendBegins();
        for (var unit = 0; unit < 3; unit++)
        {
            var given = Give();
            clock.Advance(RightOfWay.WaitingMax - TimeSpan.FromMilliseconds(1));
            Assert.False(given.IsCompleted);
            clock.Advance(TimeSpan.FromMilliseconds(1));
            await given.WaitAsync(PersistenceTestHost.Patience);
        }
    }

    [Fact]
    public async Task An_event_batch_of_which_nothing_is_heard_is_not_awaited_for_ever()
    {
        way.PageBegins();
        clock.Advance(RightOfWay.SilenceMax);
        Assert.False(Give().IsCompleted);
        clock.Advance(TimeSpan.FromTicks(1));
        await ReadAsync(Give());
        way.PageBegins();
        Assert.False(Give().IsCompleted);
    }

    [Fact]
    public async Task A_cancelled_wait_ends()
    {
        way.AppendBegins();
        using var cancel = new CancellationTokenSource();
        var given = way.GiveAsync(cancel.Token).AsTask();
        await cancel.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => given.WaitAsync(PersistenceTestHost.Patience));
    }

    /// <summary>
    /// Lets the reading time pass, which may begin a little later on another thread. Then nothing waits.
    /// </summary>
    private async Task ReadAsync(Task given)
    {
        while (!given.IsCompleted)
        {
            clock.Advance(RightOfWay.Reading);
            await Task.Yield();
        }
        await given;
        Assert.True(Give().IsCompletedSuccessfully);
    }

    private Task Give() => way.GiveAsync(CancellationToken.None).AsTask();
}
