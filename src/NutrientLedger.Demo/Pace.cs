namespace NutrientLedger.Demo;

/// <summary>
/// The clock of a played season: recorded time runs a given number of times faster than real time, and stretches in
/// which nobody works are cut to a moment; what is sent during such a stretch comes at its end. All senders share one
/// pace.
/// </summary>
public sealed class Pace(TimeProvider time, double speed, IEnumerable<long> workTimes)
{
    /// <summary>The longest silence played, in milliseconds of recorded time.</summary>
    private const long SilenceMillisecondsMax = 60_000;

    private readonly long startedAt = time.GetTimestamp();
    private readonly (long SendAt, long PlayedAt)[] segments = Shorten(workTimes);

    private long reached;

    /// <summary>
    /// Recorded time of the latest message that was due so far, before the first one the time at which the work begins,
    /// 0 without any.
    /// </summary>
    public long ReachedMilliseconds => Math.Max(Interlocked.Read(ref reached), segments[0].SendAt);

    /// <summary>Waits until a message recorded at this moment is due.</summary>
    public async Task WaitForAsync(long sendAtMilliseconds, CancellationToken cancellationToken)
    {
        var due = TimeSpan.FromMilliseconds(PlayedAt(sendAtMilliseconds) / speed) - time.GetElapsedTime(startedAt);
        if (due > TimeSpan.Zero)
            await Task.Delay(due, time, cancellationToken);
        // Senders pass here side by side, a little out of order.
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
    /// The recorded times at which playing resumes after a silence, each with its place in the shortened season.
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
