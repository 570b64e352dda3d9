using System.Diagnostics.Metrics;
using Microsoft.Extensions.Logging;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Gaps;

/// <summary>
/// Reports which gaps opened and closed, once a commit holds it. Each boot and kind has one line in the log, and
/// counters under the meter "NutrientLedger.Persistence". The counters count at once. The log reports a gap that stayed
/// open for <see cref="ReportDelay"/>, or when the hub stops. It leaves out one that closed before. A gap that shrinks
/// or is split is not reported again.
/// </summary>
internal sealed partial class GapReporter : IDisposable
{
    /// <summary>
    /// How long a gap stays open before the log reports it. Messages that overtook each other arrive within seconds.
    /// Common practice, no source.
    /// </summary>
    public static readonly TimeSpan ReportDelay = TimeSpan.FromSeconds(10);

    private readonly ILogger<GapReporter> log;
    private readonly TimeProvider time;
    private readonly ITimer timer;

    /// <summary>Guards what waits to be reported, for the appending thread and the timer.</summary>
    private readonly Lock gate = new();

    private readonly Dictionary<SequenceKey, IReadOnlyList<Gap>> unreported = [];
    private readonly Counter<long> opened;
    private readonly Counter<long> closed;
    private GapCounts? counts;

    /// <summary>Makes the instruments. A hub has one of each.</summary>
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
        // What is not known is left out. A constant number would look like a measured one.
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

    /// <summary>Notes how many gaps the database holds, or that it is not known.</summary>
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

    /// <summary>Reports what still waits. The log of a hub that stopped lacks no gap.</summary>
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
            // A clock that was set back must not delay the log by more than the delay of a new gap.
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

    /// <summary>The first few by their numbers. A device with many gaps must not fill the log.</summary>
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
