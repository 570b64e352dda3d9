namespace NutrientLedger.Store;

/// <summary>
/// Lets messages go first. What works through a farm's past beside them does so in units of a few milliseconds, and between two of them
/// waits while a message is under way in this hub: from the begin of its append until a page of the projection that began after it is
/// committed. It waits a moment at most, so that it gets on although messages never stop.
/// </summary>
public sealed class RightOfWay(TimeProvider time)
{
    /// <summary>So long at most what works beside waits between two units.</summary>
    public static readonly TimeSpan WaitingMax = TimeSpan.FromMilliseconds(25);

    private readonly Lock gate = new();
    private TaskCompletionSource? clear;
    private int appends;
    private bool page;
    private bool unposted;

    /// <summary>Messages begin to be appended.</summary>
    public void AppendBegins()
    {
        lock (gate)
        {
            appends++;
            clear ??= new(TaskCreationOptions.RunContinuationsAsynchronously);
        }
    }

    /// <summary>Messages were appended and are to be posted, or nothing came of it.</summary>
    public void AppendEnds(bool toBePosted)
    {
        lock (gate)
        {
            appends--;
            unposted |= toBePosted;
            ClearWhenNothingIsUnderWay();
        }
    }

    /// <summary>A page of what was appended is being posted.</summary>
    public void PageBegins()
    {
        lock (gate)
        {
            page = true;
            unposted = false;
            clear ??= new(TaskCreationOptions.RunContinuationsAsynchronously);
        }
    }

    /// <summary>The page is committed.</summary>
    public void PageEnds()
    {
        lock (gate)
        {
            page = false;
            ClearWhenNothingIsUnderWay();
        }
    }

    /// <summary>Waits until no message is under way, but not for long.</summary>
    public async ValueTask GiveAsync(CancellationToken cancellationToken)
    {
        Task under;
        lock (gate)
        {
            if (clear is null)
                return;
            under = clear.Task;
        }
        try
        {
            await under.WaitAsync(WaitingMax, time, cancellationToken);
        }
        catch (TimeoutException)
        {
            // It has waited long enough.
        }
    }

    private void ClearWhenNothingIsUnderWay()
    {
        if (appends > 0 || page || unposted)
            return;
        clear?.SetResult();
        clear = null;
    }
}
