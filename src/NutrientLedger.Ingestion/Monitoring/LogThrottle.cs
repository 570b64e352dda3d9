namespace NutrientLedger.Ingestion.Monitoring;

/// <summary>
/// Keeps a device that repeats one mistake from filling the log. The first time is logged at once. After that it is
/// logged at most once a minute, with the number of times since.
/// </summary>
internal sealed class LogThrottle(TimeProvider clock)
{
    private const int KnownMax = 1000;

    private static readonly TimeSpan Interval = TimeSpan.FromMinutes(1);

    private readonly Dictionary<(string Client, string Reason), (long LoggedAt, int Unlogged)> known = [];
    private readonly Lock gate = new();

    /// <summary>How many times to log now, this one included; 0 means do not log.</summary>
    public int CountToLog(string client, string reason)
    {
        lock (gate)
        {
            var isKnown = known.TryGetValue((client, reason), out var before);
            if (isKnown && clock.GetElapsedTime(before.LoggedAt) < Interval)
            {
                known[(client, reason)] = before with { Unlogged = before.Unlogged + 1 };
                return 0;
            }
            // Clients choose their own names, so the memory for them is limited.
            if (!isKnown && known.Count >= KnownMax)
                known.Clear();
            known[(client, reason)] = (clock.GetTimestamp(), 0);
            return before.Unlogged + 1;
        }
    }
}
