using System.Collections.Immutable;
using NutrientLedger.Journal;

namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>Consecutive numbers that have arrived, with the readings at both ends.</summary>
internal readonly record struct ReceivedRange<TReading>(
    long FirstSeq,
    long LastSeq,
    ReceivedRangeEnd<TReading> First,
    ReceivedRangeEnd<TReading> Last
)
    where TReading : struct, IReading<TReading>;

/// <summary>
/// The numbers of one equipment, stream and boot that have arrived. It lets each number through once, in whatever
/// messages it comes. It cuts what is new into batches that know their neighbours.
/// </summary>
internal sealed class RangeSet<TReading>
    where TReading : struct, IReading<TReading>
{
    private readonly List<ReceivedRange<TReading>> ranges;

    // Only the readings at the ends of ranges can be neighbours of something new.
    private readonly ReceivedRange<TReading>[] known;

    private readonly SortedDictionary<long, TReading> fresh = [];

    /// <summary>Continues from the ranges known so far, in order of their numbers.</summary>
    public RangeSet(IEnumerable<ReceivedRange<TReading>> known)
    {
        this.known = [.. known];
        ranges = [.. this.known];
    }

    /// <summary>All ranges, those just added included.</summary>
    public IReadOnlyList<ReceivedRange<TReading>> Ranges => ranges;

    /// <summary>Why these numbers are not plausible, or null.</summary>
    public string? RejectionReason(long firstSeq, int count)
    {
        var highest = ranges.Count == 0 ? 0 : ranges[^1].LastSeq;
        if (firstSeq < 1)
            return $"seq is {firstSeq}; readings are numbered from 1 upwards within a boot.";
        if (firstSeq - highest > RangeLimits.JumpMax)
            return $"seq is {firstSeq}, more than {RangeLimits.JumpMax} beyond {highest}, the highest number seen of this boot. Count from 1 "
                + "upwards, and start a new boot when counting starts again.";
        var (from, to) = Adjacent(firstSeq, firstSeq + count - 1);
        if (from == to && ranges.Count >= RangeLimits.RangesMax)
            return $"seq {firstSeq} would leave more than {RangeLimits.RangesMax} gaps in the numbers of this boot. Number readings without gaps, "
                + "and start a new boot when counting starts again.";
        return null;
    }

    /// <summary>
    /// The first of a message's numbers that has been received with another reading, or null. What was stored before is
    /// given by number. A received number that nothing is stored of counts as differing, because nobody can verify it.
    /// </summary>
    public long? FirstDiffering(
        long firstSeq,
        ImmutableArray<TReading> readings,
        IReadOnlyDictionary<long, TReading> stored
    )
    {
        for (var i = 0; i < readings.Length; i++)
        {
            var seq = firstSeq + i;
            if (!Holds(seq))
                continue;
            if (!fresh.TryGetValue(seq, out var known) && !stored.TryGetValue(seq, out known))
                return seq;
            if (!known.Equals(readings[i]))
                return seq;
        }
        return null;
    }

    /// <summary>Whether all these numbers, both ends included, have been received.</summary>
    public bool HoldsAll(long firstSeq, long lastSeq)
    {
        var at = FirstReaching(ranges, firstSeq);
        return at < ranges.Count && ranges[at].FirstSeq <= firstSeq && ranges[at].LastSeq >= lastSeq;
    }

    /// <summary>Adds a message's readings and returns those whose numbers had not been received.</summary>
    public ImmutableArray<TReading> Add(long firstSeq, ImmutableArray<TReading> readings)
    {
        var lastSeq = firstSeq + readings.Length - 1;
        var (from, to) = Adjacent(firstSeq, lastSeq);
        var added = ImmutableArray.CreateBuilder<TReading>(readings.Length);
        var adjacent = ranges.GetRange(from, to - from);
        for (var i = 0; i < readings.Length; i++)
        {
            var seq = firstSeq + i;
            if (adjacent.Exists(range => range.FirstSeq <= seq && seq <= range.LastSeq))
                continue;
            fresh.Add(seq, readings[i]);
            added.Add(readings[i]);
        }
        var joined = new ReceivedRange<TReading>(firstSeq, lastSeq, readings[0], readings[^1]);
        if (adjacent is [var lowest, ..] && lowest.FirstSeq <= firstSeq)
            joined = joined with { FirstSeq = lowest.FirstSeq, First = lowest.First };
        if (adjacent is [.., var highest] && highest.LastSeq >= lastSeq)
            joined = joined with { LastSeq = highest.LastSeq, Last = highest.Last };
        ranges.RemoveRange(from, to - from);
        ranges.Insert(from, joined);
        return added.ToImmutable();
    }

    /// <summary>
    /// What was added, as batches of consecutive readings. Two batches that follow each other share a pair of
    /// neighbours. The later one brings it.
    /// </summary>
    public IEnumerable<ReadingBatch<TReading>> ToBatches(string equipmentId, long boot)
    {
        var readings = ImmutableArray.CreateBuilder<TReading>();
        foreach (var (seq, reading) in fresh)
        {
            readings.Add(reading);
            if (fresh.ContainsKey(seq + 1) && readings.Count < ReadingBatch<TReading>.ReadingsMax)
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

    private bool Holds(long seq) => HoldsAll(seq, seq);

    /// <summary>The ranges, from one index up to another, that overlap or touch these numbers.</summary>
    private (int From, int To) Adjacent(long firstSeq, long lastSeq)
    {
        var from = FirstReaching(ranges, firstSeq - 1);
        var to = FirstReaching(ranges, lastSeq + 1);
        // The range that reaches furthest may itself begin beyond these numbers.
        return (from, to < ranges.Count && ranges[to].FirstSeq <= lastSeq + 1 ? to + 1 : to);
    }

    private ReceivedRangeEnd<TReading>? EndingAt(long seq)
    {
        var at = FirstReaching(known, seq);
        return at < known.Length && known[at].LastSeq == seq ? known[at].Last : null;
    }

    private ReceivedRangeEnd<TReading>? StartingAt(long seq)
    {
        var at = FirstReaching(known, seq);
        return at < known.Length && known[at].FirstSeq == seq ? known[at].First : null;
    }

    /// <summary>The index of the first range that ends at a number or beyond it, by binary search.</summary>
    private static int FirstReaching(IReadOnlyList<ReceivedRange<TReading>> ranges, long seq)
    {
        var (low, high) = (0, ranges.Count);
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (ranges[middle].LastSeq < seq)
                low = middle + 1;
            else
                high = middle;
        }
        return low;
    }
}
