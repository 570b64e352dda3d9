namespace NutrientLedger.Persistence.Scheduling;

/// <summary>
/// Lets messages go first. Work on a farm's past runs beside them in units of a few milliseconds. Between two units it
/// waits while a message is under way in this hub: while it is appended, and while its event batch is posted and read.
/// In between the message waits for the beat of posting, and the work goes on. The work waits a moment at most, so that
/// it gets on although messages never stop.
/// </summary>
public sealed class RightOfWay(TimeProvider time)
{
    /// <summary>The longest wait between two units of work.</summary>
    public static readonly TimeSpan WaitingMax = TimeSpan.FromMilliseconds(25);

    /// <summary>The time in which a listener reads a committed event batch.</summary>
    public static readonly TimeSpan Reading = TimeSpan.FromMilliseconds(5);

    /// <summary>An event batch with no news for so long has failed, and is tried again later.</summary>
    public static readonly TimeSpan SilenceMax = TimeSpan.FromMilliseconds(250);

    private readonly Lock gate = new();
    private TaskCompletionSource? clear;
    private int appends;
    private long? clearedAt;
    private long lastHeard;
    private bool page;

    /// <summary>Messages begin to be appended.</summary>
    public void AppendBegins()
    {
        lock (gate)
        {
            appends++;
            Heard();
        }
    }

    /// <summary>Messages were appended, or nothing came of it.</summary>
    public void AppendEnds()
    {
        lock (gate)
        {
            appends--;
            lastHeard = time.GetTimestamp();
            ClearWhenNothingIsUnderWay();
        }
    }

    /// <summary>An event batch of what was appended is being posted.</summary>
    public void PageBegins()
    {
        lock (gate)
        {
            page = true;
            Heard();
        }
    }

    /// <summary>The event batch is committed.</summary>
    public void PageEnds()
    {
        lock (gate)
        {
            page = false;
            ClearWhenNothingIsUnderWay();
        }
    }

    /// <summary>Waits until no message is under way and the last one was read, but not for long.</summary>
    public async ValueTask GiveAsync(CancellationToken cancellationToken)
    {
        var begun = time.GetTimestamp();
        while (Underway() is { } way && WaitingMax - time.GetElapsedTime(begun) is { Ticks: > 0 } left)
            try
            {
                await way.WaitAsync(left, time, cancellationToken);
            }
            catch (TimeoutException)
            {
                // It has waited long enough.
            }
    }

    /// <summary>What is to be waited for. Null when the way is clear.</summary>
    private Task? Underway()
    {
        lock (gate)
        {
            if (clear is not null && time.GetElapsedTime(lastHeard) > SilenceMax)
            {
                page = false;
                Clear();
            }
            if (clear is not null)
                return clear.Task;
            if (clearedAt is not { } since)
                return null;
            var rest = Reading - time.GetElapsedTime(since);
            if (rest > TimeSpan.Zero)
                return Task.Delay(rest, time);
            clearedAt = null;
            return null;
        }
    }

    private void Heard()
    {
        lastHeard = time.GetTimestamp();
        clear ??= new(TaskCreationOptions.RunContinuationsAsynchronously);
    }

    private void ClearWhenNothingIsUnderWay()
    {
        if (appends == 0 && !page)
            Clear();
    }

    private void Clear()
    {
        clear?.SetResult();
        clear = null;
        clearedAt = time.GetTimestamp();
    }
}
