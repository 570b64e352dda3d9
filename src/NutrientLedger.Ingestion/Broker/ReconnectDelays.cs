namespace NutrientLedger.Ingestion.Broker;

/// <summary>
/// How long a client waits to be accepted again after its connection was closed because of a quota. The delay grows
/// from one second to one minute, and is forgotten once something of the client is committed.
/// </summary>
internal sealed class ReconnectDelays(TimeProvider clock)
{
    private const int KnownMax = 1000;

    private static readonly TimeSpan First = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan Last = TimeSpan.FromMinutes(1);

    private readonly Dictionary<string, (TimeSpan Delay, long Since)> known = [];
    private readonly Lock gate = new();

    /// <summary>The client's connection is closed. Its next one waits twice as long as the one before.</summary>
    public void Grow(string clientId)
    {
        lock (gate)
        {
            if (Remaining(clientId) > TimeSpan.Zero)
                return;
            var delay = known.TryGetValue(clientId, out var before) ? before.Delay * 2 : First;
            // Clients choose their own names, so the memory for them is limited.
            if (known.Count >= KnownMax)
                known.Clear();
            known[clientId] = (delay < Last ? delay : Last, clock.GetTimestamp());
        }
    }

    /// <summary>Something of the client was committed.</summary>
    public void Forget(string clientId)
    {
        lock (gate)
            known.Remove(clientId);
    }

    /// <summary>Waits until the client may be accepted.</summary>
    public async Task WaitAsync(string clientId, CancellationToken cancellationToken)
    {
        TimeSpan remaining;
        lock (gate)
            remaining = Remaining(clientId);
        if (remaining > TimeSpan.Zero)
            await Task.Delay(remaining, clock, cancellationToken);
    }

    private TimeSpan Remaining(string clientId) =>
        known.TryGetValue(clientId, out var own) ? own.Delay - clock.GetElapsedTime(own.Since) : TimeSpan.Zero;
}
