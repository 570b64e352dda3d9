using System.Collections.Immutable;
using NutrientLedger.Journal;

namespace NutrientLedger.Store;

/// <summary>Consecutive numbers that have arrived, with the readings at both ends.</summary>
public readonly record struct SeenRun<TReading>(
    long FirstSeq,
    long LastSeq,
    RunEnd<TReading> First,
    RunEnd<TReading> Last
)
    where TReading : struct, IReading<TReading>;

/// <summary>
/// The numbers of one equipment, stream and boot that have arrived. It lets each number through once, whatever messages it comes
/// in, and cuts what is new into packs that know their neighbours.
/// </summary>
public sealed class SeenRuns<TReading>
    where TReading : struct, IReading<TReading>
{
    private readonly List<SeenRun<TReading>> runs;

    // Only the readings at the ends of runs can be neighbours of something new.
    private readonly SeenRun<TReading>[] known;

    private readonly SortedDictionary<long, TReading> fresh = [];

    /// <summary>Continues from the runs known so far, in order of their numbers.</summary>
    public SeenRuns(IEnumerable<SeenRun<TReading>> known)
    {
        this.known = [.. known];
        runs = [.. this.known];
    }

    /// <summary>All runs, those just added included.</summary>
    public IReadOnlyList<SeenRun<TReading>> Runs => runs;

    /// <summary>Why these numbers cannot be real, or nothing.</summary>
    public string? ReasonToRefuse(long firstSeq, int count)
    {
        var highest = runs.Count == 0 ? 0 : runs[^1].LastSeq;
        if (firstSeq < 1)
            return $"seq is {firstSeq}; readings are numbered from 1 upwards within a boot.";
        if (firstSeq - highest > SeenLimits.JumpMax)
            return $"seq is {firstSeq}, more than {SeenLimits.JumpMax} beyond {highest}, the highest number seen of this boot. Count from 1 "
                + "upwards, and start a new boot when counting starts again.";
        var (from, to) = Touched(firstSeq, firstSeq + count - 1);
        if (from == to && runs.Count >= SeenLimits.RunsMax)
            return $"seq {firstSeq} would leave more than {SeenLimits.RunsMax} holes in the numbers of this boot. Number readings without holes, "
                + "and start a new boot when counting starts again.";
        return null;
    }

    /// <summary>Takes a message's readings in and gives those whose numbers had not been seen.</summary>
    public ImmutableArray<TReading> Add(long firstSeq, ImmutableArray<TReading> readings)
    {
        var lastSeq = firstSeq + readings.Length - 1;
        var (from, to) = Touched(firstSeq, lastSeq);
        var added = ImmutableArray.CreateBuilder<TReading>(readings.Length);
        var touched = runs.GetRange(from, to - from);
        for (var i = 0; i < readings.Length; i++)
        {
            var seq = firstSeq + i;
            if (touched.Exists(run => run.FirstSeq <= seq && seq <= run.LastSeq))
                continue;
            fresh.Add(seq, readings[i]);
            added.Add(readings[i]);
        }
        var joined = new SeenRun<TReading>(firstSeq, lastSeq, readings[0], readings[^1]);
        if (touched is [var lowest, ..] && lowest.FirstSeq <= firstSeq)
            joined = joined with { FirstSeq = lowest.FirstSeq, First = lowest.First };
        if (touched is [.., var highest] && highest.LastSeq >= lastSeq)
            joined = joined with { LastSeq = highest.LastSeq, Last = highest.Last };
        runs.RemoveRange(from, to - from);
        runs.Insert(from, joined);
        return added.ToImmutable();
    }

    /// <summary>
    /// What was added, as packs of consecutive readings. Two packs that follow each other share a pair of neighbours; the later
    /// one brings it.
    /// </summary>
    public IEnumerable<Pack<TReading>> Cut(string equipmentId, long boot)
    {
        var readings = ImmutableArray.CreateBuilder<TReading>();
        foreach (var (seq, reading) in fresh)
        {
            readings.Add(reading);
            if (fresh.ContainsKey(seq + 1) && readings.Count < Pack<TReading>.ReadingsMax)
                continue;
            var firstSeq = seq - readings.Count + 1;
            yield return new(
                equipmentId,
                boot,
                firstSeq,
                readings.ToImmutable(),
                fresh.TryGetValue(firstSeq - 1, out var before) ? before : EndingAt(firstSeq - 1)?.Reading,
                StartingAt(seq + 1)?.Reading
            );
            readings.Clear();
        }
    }

    /// <summary>The runs, from one index up to another, that overlap these numbers or lie against them.</summary>
    private (int From, int To) Touched(long firstSeq, long lastSeq)
    {
        var from = FirstReaching(runs, firstSeq - 1);
        var to = FirstReaching(runs, lastSeq + 1);
        // The run that reaches furthest may itself begin beyond these numbers.
        return (from, to < runs.Count && runs[to].FirstSeq <= lastSeq + 1 ? to + 1 : to);
    }

    private RunEnd<TReading>? EndingAt(long seq)
    {
        var at = FirstReaching(known, seq);
        return at < known.Length && known[at].LastSeq == seq ? known[at].Last : null;
    }

    private RunEnd<TReading>? StartingAt(long seq)
    {
        var at = FirstReaching(known, seq);
        return at < known.Length && known[at].FirstSeq == seq ? known[at].First : null;
    }

    /// <summary>The index of the first run that ends at a number or beyond it, found by halves.</summary>
    private static int FirstReaching(IReadOnlyList<SeenRun<TReading>> runs, long seq)
    {
        var (low, high) = (0, runs.Count);
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (runs[middle].LastSeq < seq)
                low = middle + 1;
            else
                high = middle;
        }
        return low;
    }
}
