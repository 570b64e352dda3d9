using NpgsqlTypes;
using NutrientLedger.Journal;

namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>One sender's stream and boot, as far as numbers are concerned.</summary>
internal readonly record struct SequenceKey(string FarmId, string EquipmentId, TelemetryStream Stream, long Boot)
{
    public string StreamName => Stream.ToString().ToLowerInvariant();
}

/// <summary>
/// What is stored of a sender's numbers: its runs, the readings at the ends of each in the packs' own stored form, the last number
/// that the device said it had given in this boot (0 when it has not said), and since when each hole is known, in order.
/// </summary>
internal sealed record ReceivedRangeRow(
    NpgsqlRange<long>[] Ranges,
    byte[][] RangeEnds,
    long AnnouncedLastSeq,
    DateTimeOffset[] GapsSince
)
{
    public static readonly ReceivedRangeRow Empty = new([], [], 0, []);

    /// <summary>The highest number seen, 0 before the first.</summary>
    public long Highest => Ranges is [.., var last] ? last.UpperBound - 1 : 0;

    /// <summary>The row with other runs.</summary>
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
    /// The row with the last number that its device remembers; the same row when that says nothing new, or counts further than a
    /// device can have counted meanwhile.
    /// </summary>
    public ReceivedRangeRow Announce(long lastSeq, DateTimeOffset now) =>
        lastSeq <= Math.Max(AnnouncedLastSeq, Highest) || lastSeq - Highest > RangeLimits.JumpMax
            ? this
            : WithGapsSince(this with { AnnouncedLastSeq = lastSeq }, now);

    /// <summary>The runs; PostgreSQL gives whole-number ranges from their first number, included, to the one after their last.</summary>
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
