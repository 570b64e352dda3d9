using System.Diagnostics.Metrics;
using Microsoft.Extensions.Logging;

namespace NutrientLedger.Store;

/// <summary>
/// Tells, once a commit holds it, which gaps opened and closed: one line in the log for each boot and kind, and counters under the
/// meter "NutrientLedger.Store". A gap that shrinks or is split is not told again.
/// </summary>
public sealed partial class GapTelling
{
    private readonly ILogger<GapTelling> log;
    private readonly Counter<long> opened;
    private readonly Counter<long> closed;
    private OpenGaps? open;

    /// <summary>Makes the instruments; a hub has one of each.</summary>
    public GapTelling(IMeterFactory meters, ILogger<GapTelling> log)
    {
        this.log = log;
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
        foreach (var (key, fresh, gone) in changes)
        {
            opened.Add(fresh.Count);
            closed.Add(gone.Count);
            var stream = key.StreamName;
            if (fresh.Count > 0)
            {
                var (readings, numbers) = (fresh.Sum(hole => hole.Count), Words(fresh));
                Opened(readings, key.EquipmentId, stream, key.FarmId, key.Boot, numbers);
            }
            if (gone.Count > 0)
            {
                var (numbers, longest) = (Words(gone), gone.Max(hole => now - hole.Since));
                Closed(key.EquipmentId, stream, key.FarmId, key.Boot, numbers, longest);
            }
        }
    }

    /// <summary>The first few by their numbers; a sender that numbers by leaps must not fill the log.</summary>
    private static string Words(IReadOnlyList<Hole> holes)
    {
        const int named = 3;
        var words = string.Join(
            ", ",
            holes.Take(named).Select(hole => FormattableString.Invariant($"{hole.FirstSeq} to {hole.LastSeq}"))
        );
        return holes.Count > named
            ? FormattableString.Invariant($"{words} and {holes.Count - named} more stretches")
            : words;
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "{Readings} readings of {Equipment} ({Stream}, farm {Farm}, boot {Boot}) are missing: no. {Numbers}; they count as soon as they arrive"
    )]
    private partial void Opened(long readings, string equipment, string stream, string farm, long boot, string numbers);

    [LoggerMessage(
        Level = LogLevel.Information,
        Message = "Missing readings of {Equipment} ({Stream}, farm {Farm}, boot {Boot}) have arrived: no. {Numbers}, known to be missing for {Open} at most"
    )]
    private partial void Closed(string equipment, string stream, string farm, long boot, string numbers, TimeSpan open);
}
