using System.Diagnostics.Metrics;
using Microsoft.Extensions.Logging;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Gaps;

/// <summary>
/// Tells, once a commit holds it, which gaps opened and closed: one line in the log for each boot and kind, and counters under the
/// meter "NutrientLedger.Persistence". The counters count at once; the log speaks of a gap when it has stayed open for <see cref="ReportDelay"/>,
/// or the hub stops, and is silent about one that closed before. A gap that shrinks or is split is not told again.
/// </summary>
public sealed partial class GapReporter : IDisposable
{
    /// <summary>How long a gap must stay open until the log speaks of it: messages that overtook each other on their way arrive within seconds. Common practice, no source.</summary>
    public static readonly TimeSpan ReportDelay = TimeSpan.FromSeconds(10);

    private readonly ILogger<GapReporter> log;
    private readonly TimeProvider time;
    private readonly ITimer timer;

    /// <summary>Held by whoever appended and by the timer while they look at what waits to be told.</summary>
    private readonly Lock gate = new();

    private readonly Dictionary<SequenceKey, IReadOnlyList<Gap>> unreported = [];
    private readonly Counter<long> opened;
    private readonly Counter<long> closed;
    private GapCounts? counts;

    /// <summary>Makes the instruments; a hub has one of each.</summary>
    public GapReporter(IMeterFactory meters, ILogger<GapReporter> log, TimeProvider time)
    {
        this.log = log;
        this.time = time;
        timer = time.CreateTimer(_ => ReportDue(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        var meter = meters.Create(PostingMeter.Name);
        opened = meter.CreateCounter<long>(
            "persistence.gaps.opened",
            "{gap}",
            "Gaps that appeared in the numbers of readings"
        );
        closed = meter.CreateCounter<long>(
            "persistence.gaps.closed",
            "{gap}",
            "Gaps whose last missing reading arrived"
        );
        // What is not known is left out: a number that stands still would look like one that was measured.
        meter.CreateObservableGauge(
            "persistence.gaps.open",
            () => counts is { } now ? [new Measurement<long>(now.Gaps)] : Array.Empty<Measurement<long>>(),
            "{gap}",
            "Gaps in the numbers of readings, all farms"
        );
        meter.CreateObservableGauge(
            "persistence.readings.missing",
            () => counts is { } now ? [new Measurement<long>(now.Readings)] : Array.Empty<Measurement<long>>(),
            "{reading}",
            "Readings that were numbered and have not arrived, all farms"
        );
    }

    /// <summary>Notes how many gaps there are in the database, or that it is not known.</summary>
    internal void SetCounts(GapCounts? counted) => counts = counted;

    internal void Report(IEnumerable<GapChange> changes, DateTimeOffset now)
    {
        lock (gate)
        {
            var wasWaiting = unreported.Count > 0;
            foreach (var (key, fresh, gone, all) in changes)
            {
                opened.Add(fresh.Count);
                closed.Add(gone.Count);
                var pending = unreported.GetValueOrDefault(key, []);
                if (GapHistory.Without(gone, pending) is { Count: > 0 } ended)
                {
                    var (numbers, longest) = (Describe(ended), ended.Max(gap => now - gap.Since));
                    LogClosed(key.EquipmentId, key.StreamName, key.FarmId, key.Boot, numbers, longest);
                }
                var reported = GapHistory.Without(GapHistory.Without(all, pending), fresh);
                SetUnreported(key, GapHistory.Without(all, reported));
            }
            if (!wasWaiting && unreported.Count > 0)
                timer.Change(ReportDelay, Timeout.InfiniteTimeSpan);
        }
    }

    /// <summary>Tells of what still waits: who reads the log of a hub that stopped should miss no gap.</summary>
    public void Dispose()
    {
        timer.Dispose();
        lock (gate)
            ReportWhere(_ => true);
    }

    private void ReportDue()
    {
        lock (gate)
        {
            var now = time.GetUtcNow();
            ReportWhere(gap => now - gap.Since >= ReportDelay);
            if (unreported.Count == 0)
                return;
            var next = ReportDelay - (now - unreported.Values.Min(gaps => gaps.Min(gap => gap.Since)));
            // A clock that was set back must not hold up the log for longer than a new gap would wait.
            timer.Change(next < ReportDelay ? next : ReportDelay, Timeout.InfiniteTimeSpan);
        }
    }

    private void ReportWhere(Func<Gap, bool> isDue)
    {
        foreach (var (key, gaps) in unreported.ToArray())
            if (gaps.Where(isDue).ToArray() is { Length: > 0 } due)
            {
                var (readings, numbers) = (due.Sum(gap => gap.Count), Describe(due));
                LogOpened(key.EquipmentId, key.StreamName, key.FarmId, key.Boot, numbers, readings);
                SetUnreported(key, [.. gaps.Where(gap => !isDue(gap))]);
            }
    }

    private void SetUnreported(SequenceKey key, IReadOnlyList<Gap> gaps)
    {
        if (gaps.Count > 0)
            unreported[key] = gaps;
        else
            unreported.Remove(key);
    }

    /// <summary>The first few by their numbers; a sender that numbers by leaps must not fill the log.</summary>
    private static string Describe(IReadOnlyList<Gap> gaps)
    {
        const int named = 3;
        var words = string.Join(
            ", ",
            gaps.Take(named)
                .Select(gap =>
                    gap.Count == 1
                        ? FormattableString.Invariant($"{gap.FirstSeq}")
                        : FormattableString.Invariant($"{gap.FirstSeq} to {gap.LastSeq}")
                )
        );
        return gaps.Count > named ? FormattableString.Invariant($"{words} and {gaps.Count - named} more") : words;
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "Readings of {Equipment} ({Stream}, farm {Farm}, boot {Boot}) are missing: no. {Numbers}, {Readings} in total. They are posted when they arrive."
    )]
    private partial void LogOpened(
        string equipment,
        string stream,
        string farm,
        long boot,
        string numbers,
        long readings
    );

    [LoggerMessage(
        Level = LogLevel.Information,
        Message = "Missing readings of {Equipment} ({Stream}, farm {Farm}, boot {Boot}) have arrived: no. {Numbers}, missing for {Open} at most."
    )]
    private partial void LogClosed(
        string equipment,
        string stream,
        string farm,
        long boot,
        string numbers,
        TimeSpan open
    );
}
