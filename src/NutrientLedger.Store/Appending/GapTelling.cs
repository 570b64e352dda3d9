using System.Diagnostics.Metrics;
using Microsoft.Extensions.Logging;

namespace NutrientLedger.Store;

/// <summary>
/// Tells, once a commit holds it, which gaps opened and closed: one line in the log for each boot and kind, and counters under the
/// meter "NutrientLedger.Store". The counters count at once; the log speaks of a gap when it has stayed open for <see cref="Patience"/>,
/// or the hub stops, and is silent about one that closed before. A gap that shrinks or is split is not told again.
/// </summary>
public sealed partial class GapTelling : IDisposable
{
    /// <summary>How long a gap must stay open until the log speaks of it: messages that overtook each other on their way arrive within seconds. Common practice, no source.</summary>
    public static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    private readonly ILogger<GapTelling> log;
    private readonly TimeProvider time;
    private readonly ITimer timer;

    /// <summary>Held by whoever appended and by the timer while they look at what waits to be told.</summary>
    private readonly Lock turn = new();

    private readonly Dictionary<SeenKey, IReadOnlyList<Hole>> waiting = [];
    private readonly Counter<long> opened;
    private readonly Counter<long> closed;
    private OpenGaps? open;

    /// <summary>Makes the instruments; a hub has one of each.</summary>
    public GapTelling(IMeterFactory meters, ILogger<GapTelling> log, TimeProvider time)
    {
        this.log = log;
        this.time = time;
        timer = time.CreateTimer(_ => TellDue(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        var meter = meters.Create(PostingMeter.Name);
        opened = meter.CreateCounter<long>(
            "store.gaps.opened",
            "{gap}",
            "Gaps in the numbers of readings that appeared"
        );
        closed = meter.CreateCounter<long>("store.gaps.closed", "{gap}", "Gaps whose last missing reading arrived");
        // What is not known is left out: a number that stands still would look like one that was measured.
        meter.CreateObservableGauge(
            "store.gaps.open",
            () => open is { } now ? [new Measurement<long>(now.Gaps)] : Array.Empty<Measurement<long>>(),
            "{gap}",
            "Gaps in the numbers of readings, all farms"
        );
        meter.CreateObservableGauge(
            "store.readings.missing",
            () => open is { } now ? [new Measurement<long>(now.Readings)] : Array.Empty<Measurement<long>>(),
            "{reading}",
            "Readings that were numbered and have not arrived, all farms"
        );
    }

    /// <summary>Notes how many gaps there are in the database, or that it is not known.</summary>
    internal void Note(OpenGaps? counted) => open = counted;

    internal void Tell(IEnumerable<GapChange> changes, DateTimeOffset now)
    {
        lock (turn)
        {
            var waited = waiting.Count > 0;
            foreach (var (key, fresh, gone, all) in changes)
            {
                opened.Add(fresh.Count);
                closed.Add(gone.Count);
                var untold = waiting.GetValueOrDefault(key, []);
                if (HoleHistory.Without(gone, untold) is { Count: > 0 } ended)
                {
                    var (numbers, longest) = (Words(ended), ended.Max(hole => now - hole.Since));
                    Closed(key.EquipmentId, key.StreamName, key.FarmId, key.Boot, numbers, longest);
                }
                var told = HoleHistory.Without(HoleHistory.Without(all, untold), fresh);
                Wait(key, HoleHistory.Without(all, told));
            }
            if (!waited && waiting.Count > 0)
                timer.Change(Patience, Timeout.InfiniteTimeSpan);
        }
    }

    /// <summary>Tells of what still waits: who reads the log of a hub that stopped should miss no gap.</summary>
    public void Dispose()
    {
        timer.Dispose();
        lock (turn)
            TellOf(_ => true);
    }

    private void TellDue()
    {
        lock (turn)
        {
            var now = time.GetUtcNow();
            TellOf(hole => now - hole.Since >= Patience);
            if (waiting.Count == 0)
                return;
            var next = Patience - (now - waiting.Values.Min(holes => holes.Min(hole => hole.Since)));
            // A clock that was set back must not hold up the log for longer than a new gap would wait.
            timer.Change(next < Patience ? next : Patience, Timeout.InfiniteTimeSpan);
        }
    }

    private void TellOf(Func<Hole, bool> isDue)
    {
        foreach (var (key, holes) in waiting.ToArray())
            if (holes.Where(isDue).ToArray() is { Length: > 0 } due)
            {
                var (readings, numbers) = (due.Sum(hole => hole.Count), Words(due));
                Opened(key.EquipmentId, key.StreamName, key.FarmId, key.Boot, numbers, readings);
                Wait(key, [.. holes.Where(hole => !isDue(hole))]);
            }
    }

    private void Wait(SeenKey key, IReadOnlyList<Hole> holes)
    {
        if (holes.Count > 0)
            waiting[key] = holes;
        else
            waiting.Remove(key);
    }

    /// <summary>The first few by their numbers; a sender that numbers by leaps must not fill the log.</summary>
    private static string Words(IReadOnlyList<Hole> holes)
    {
        const int named = 3;
        var words = string.Join(
            ", ",
            holes
                .Take(named)
                .Select(hole =>
                    hole.Count == 1
                        ? FormattableString.Invariant($"{hole.FirstSeq}")
                        : FormattableString.Invariant($"{hole.FirstSeq} to {hole.LastSeq}")
                )
        );
        return holes.Count > named ? FormattableString.Invariant($"{words} and {holes.Count - named} more") : words;
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "Readings of {Equipment} ({Stream}, farm {Farm}, boot {Boot}) are missing: no. {Numbers}, {Readings} in all; they count as soon as they arrive"
    )]
    private partial void Opened(string equipment, string stream, string farm, long boot, string numbers, long readings);

    [LoggerMessage(
        Level = LogLevel.Information,
        Message = "Missing readings of {Equipment} ({Stream}, farm {Farm}, boot {Boot}) have arrived: no. {Numbers}, known to be missing for {Open} at most"
    )]
    private partial void Closed(string equipment, string stream, string farm, long boot, string numbers, TimeSpan open);
}
