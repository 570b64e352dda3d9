using NutrientLedger.Ingestion.Monitoring;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>
/// Tracks a lasting failure to commit. The log gets one line when it begins, when its cause changes and when it ends.
/// Retries in between are not logged.
/// </summary>
internal sealed class OutageTracker(TimeProvider clock, IngestionStatus status, IngestionLog log)
{
    private readonly HashSet<string> errors = [];
    private long begun;
    private int tries;
    private int givenUp;

    /// <summary>A try failed with a transient error.</summary>
    public void Failed(string reason)
    {
        // A server that stopped because its disk is full only reports that it is away. So the first cause is repeated.
        status.CommitFailed(
            errors.Contains(TransientErrors.DiskFull) && reason != TransientErrors.DiskFull
                ? $"{reason}; before that, {TransientErrors.DiskFull}"
                : reason
        );
        tries++;
        // A restarting server reports several errors in turn. Each is logged once.
        if (!errors.Add(reason))
            return;
        if (errors.Count > 1)
        {
            var seconds = Seconds();
            log.DatabaseErrorChanged(seconds, reason);
            return;
        }
        begun = clock.GetTimestamp();
        log.DatabaseUnavailable(reason);
    }

    /// <summary>Messages were given up, so that their devices send them again.</summary>
    public void GivenUp(int messages, string reason)
    {
        if (errors.Count == 0)
            log.GivenUp(messages, reason);
        else
            givenUp += messages;
    }

    /// <summary>A commit succeeded.</summary>
    public void Ended()
    {
        if (errors.Count == 0)
            return;
        var lasted = Seconds();
        log.DatabaseAvailable(lasted, tries, givenUp);
        errors.Clear();
        (tries, givenUp) = (0, 0);
    }

    private double Seconds() => Math.Round(clock.GetElapsedTime(begun).TotalSeconds, 1);
}
