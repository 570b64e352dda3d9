using NpgsqlTypes;
using NutrientLedger.Journal;

namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>One device's stream and boot, the scope of its numbers.</summary>
internal readonly record struct SequenceKey(string FarmId, string EquipmentId, TelemetryStream Stream, long Boot)
{
    public string StreamName => Stream.ToString().ToLowerInvariant();
}

/// <summary>
/// What is stored of a device's numbers. The readings at the ends of each range are in the stored form of batches. The
/// last number is the one the device says it gave in this boot (0 when unknown). The
/// times since when each gap is known are in order.
/// </summary>
internal sealed record ReceivedRangeRow(
    NpgsqlRange<long>[] Ranges,
    byte[][] RangeEnds,
    long AnnouncedLastSeq,
    DateTimeOffset[] GapsSince
)
{
    public static readonly ReceivedRangeRow Empty = new([], [], 0, []);

    /// <summary>The highest number received. 0 before the first.</summary>
    public long Highest => Ranges is [.., var last] ? last.UpperBound - 1 : 0;

    /// <summary>Whether any of these numbers, both ends included, has been received.</summary>
    public bool Overlaps(long firstSeq, long lastSeq)
    {
        var (low, high) = (0, Ranges.Length);
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (Ranges[middle].UpperBound <= firstSeq)
                low = middle + 1;
            else
                high = middle;
        }
        return low < Ranges.Length && Ranges[low].LowerBound <= lastSeq;
    }

    /// <summary>The row with other ranges.</summary>
    public ReceivedRangeRow With<TReading>(SequenceKey key, RangeSet<TReading> ranges, DateTimeOffset now)
        where TReading : struct, IReading<TReading> =>
        WithGapsSince(
            this with
            {
                Ranges =
                [
                    .. ranges.Ranges.Select(run => new NpgsqlRange<long>(run.FirstSeq, true, run.LastSeq + 1, false)),
                ],
                RangeEnds =
                [
                    .. ranges.Ranges.SelectMany(run =>
                        new[] { run.First.Stored(key, run.FirstSeq), run.Last.Stored(key, run.LastSeq) }
                    ),
                ],
            },
            now
        );

    /// <summary>
    /// The row with the last number that its device remembers. The same row when that is nothing new, or more than a
    /// device can have counted meanwhile.
    /// </summary>
    public ReceivedRangeRow Announce(long lastSeq, DateTimeOffset now) =>
        lastSeq <= Math.Max(AnnouncedLastSeq, Highest) || lastSeq - Highest > RangeLimits.JumpMax
            ? this
            : WithGapsSince(this with { AnnouncedLastSeq = lastSeq }, now);

    /// <summary>
    /// The ranges. PostgreSQL gives whole-number ranges from their first number, included, to the one after their last.
    /// </summary>
    public RangeSet<TReading> ToRangeSet<TReading>()
        where TReading : struct, IReading<TReading> =>
        new(
            Ranges.Select(
                (range, i) =>
                    new ReceivedRange<TReading>(
                        range.LowerBound,
                        range.UpperBound - 1,
                        ReceivedRangeEnd<TReading>.FromStored(RangeEnds[2 * i]),
                        ReceivedRangeEnd<TReading>.FromStored(RangeEnds[(2 * i) + 1])
                    )
            )
        );

    /// <summary>The numbers from 1 to the highest one known that have not arrived, in order.</summary>
    public IReadOnlyList<Gap> Gaps() =>
        [.. Missing().Select((gap, i) => new Gap(gap.FirstSeq, gap.LastSeq, GapsSince[i]))];

    private ReceivedRangeRow WithGapsSince(ReceivedRangeRow row, DateTimeOffset now) =>
        row with
        {
            GapsSince =
            [
                .. GapHistory
                    .Since(Gaps(), row.Missing().Select(gap => new Gap(gap.FirstSeq, gap.LastSeq, now)))
                    .Select(gap => gap.Since),
            ],
        };

    private IEnumerable<(long FirstSeq, long LastSeq)> Missing()
    {
        long next = 1;
        foreach (var run in Ranges)
        {
            if (run.LowerBound > next)
                yield return (next, run.LowerBound - 1);
            next = run.UpperBound;
        }
        if (AnnouncedLastSeq >= next)
            yield return (next, AnnouncedLastSeq);
    }
}
