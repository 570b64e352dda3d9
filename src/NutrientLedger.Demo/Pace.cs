namespace NutrientLedger.Demo;

/// <summary>
/// The clock of a played season. Recorded time runs a given number of times faster than real time. Silences between
/// work times are cut to 60 s of recorded time; what was sent in one comes at its end. All devices share one pace.
/// </summary>
public sealed class Pace(TimeProvider time, double speed, IEnumerable<long> workTimes)
{
    /// <summary>The longest silence played, in ms of recorded time.</summary>
    private const long SilenceMillisecondsMax = 60_000;

    private readonly long startedAt = time.GetTimestamp();
    private readonly (long SendAt, long PlayedAt)[] segments = Shorten(workTimes);

    private long reached;

    /// <summary>
    /// Recorded time of the latest message due so far, in ms since 1970. Before the first message it is when work
    /// begins; without work it is 0.
    /// </summary>
    public long ReachedMilliseconds => Math.Max(Interlocked.Read(ref reached), segments[0].SendAt);

    /// <summary>Waits until a message recorded at this time is due.</summary>
    public async Task WaitForAsync(long sendAtMilliseconds, CancellationToken cancellationToken)
    {
        var due = TimeSpan.FromMilliseconds(PlayedAt(sendAtMilliseconds) / speed) - time.GetElapsedTime(startedAt);
        if (due > TimeSpan.Zero)
            await Task.Delay(due, time, cancellationToken);
        // Devices come here in parallel, slightly out of order.
        for (var before = Interlocked.Read(ref reached); before < sendAtMilliseconds; )
        {
            var seen = Interlocked.CompareExchange(ref reached, sendAtMilliseconds, before);
            if (seen == before)
                return;
            before = seen;
        }
    }

    private double PlayedAt(long sendAt)
    {
        var at = Array.BinarySearch(segments, (sendAt, long.MaxValue));
        var next = at < 0 ? ~at : at;
        var (start, played) = segments[Math.Max(0, next - 1)];
        var due = played + Math.Max(0, sendAt - start);
        return next < segments.Length ? Math.Min(due, segments[next].PlayedAt) : due;
    }

    /// <summary>
    /// When playing resumes after each silence: the recorded time and its place in the shortened season, both in ms.
    /// </summary>
    private static (long, long)[] Shorten(IEnumerable<long> workTimes)
    {
        var stretches = new List<(long SendAt, long PlayedAt)>();
        long last = 0;
        foreach (var sendAt in workTimes.Order())
        {
            if (stretches.Count == 0)
                stretches.Add((sendAt, 0));
            else if (sendAt - last > SilenceMillisecondsMax)
                stretches.Add(
                    (sendAt, stretches[^1].PlayedAt + (last - stretches[^1].SendAt) + SilenceMillisecondsMax)
                );
            last = sendAt;
        }
        return stretches.Count > 0 ? [.. stretches] : [(0, 0)];
    }
}
