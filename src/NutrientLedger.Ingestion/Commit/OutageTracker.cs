using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>
/// Tracks a lasting failure to commit. <see cref="DatabaseOutage"/> logs it once. Retries in between are not logged.
/// </summary>
internal sealed class OutageTracker(DatabaseOutage outage, IngestionStatus status, IngestionLog log)
{
    private readonly HashSet<string> errors = [];
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
        errors.Add(reason);
        outage.Failed(this, reason);
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
        outage.Ended(this);
        log.CommittedAgain(tries, givenUp);
        errors.Clear();
        (tries, givenUp) = (0, 0);
    }
}
