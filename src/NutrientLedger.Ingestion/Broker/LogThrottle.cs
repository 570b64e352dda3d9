namespace NutrientLedger.Ingestion.Broker;

/// <summary>
/// Keeps a device that does the same wrong thing again and again from filling the log: the first time is told at once, then at
/// most once a minute with how often it happened meanwhile.
/// </summary>
internal sealed class LogThrottle(TimeProvider clock)
{
    private const int KnownMax = 1000;

    private static readonly TimeSpan Interval = TimeSpan.FromMinutes(1);

    private readonly Dictionary<(string Client, string Reason), (long ToldAt, int Untold)> known = [];
    private readonly Lock gate = new();

    /// <summary>How many times to tell of now, this one included; 0 when it is not to be told.</summary>
    public int CountToLog(string client, string reason)
    {
        lock (gate)
        {
            var isKnown = known.TryGetValue((client, reason), out var before);
            if (isKnown && clock.GetElapsedTime(before.ToldAt) < Interval)
            {
                known[(client, reason)] = before with { Untold = before.Untold + 1 };
                return 0;
            }
            // Names are the senders' to choose, so what is remembered of them is bounded.
            if (!isKnown && known.Count >= KnownMax)
                known.Clear();
            known[(client, reason)] = (clock.GetTimestamp(), 0);
            return before.Untold + 1;
        }
    }
}
