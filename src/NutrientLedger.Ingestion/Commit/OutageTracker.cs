using NutrientLedger.Ingestion.Monitoring;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>
/// A trouble of committing that lasts. The log gets a line when it begins, when its cause changes and when it has ended, and
/// not one for every try in between.
/// </summary>
internal sealed class OutageTracker(TimeProvider clock, IngestionStatus status, IngestionLog log)
{
    private readonly HashSet<string> errors = [];
    private long begun;
    private int tries;
    private int givenUp;

    /// <summary>A try failed in a way that passes.</summary>
    public void Failed(string reason)
    {
        // A server that ended because it could not write its log only says that it is away.
        status.CommitFailed(
            errors.Contains(TransientErrors.DiskFull) && reason != TransientErrors.DiskFull
                ? $"{reason}; before that, {TransientErrors.DiskFull}"
                : reason
        );
        tries++;
        // A server that restarts says a few things in turn; each is told once.
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

    /// <summary>A commit went well.</summary>
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
