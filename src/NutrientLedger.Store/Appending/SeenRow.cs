using NpgsqlTypes;
using NutrientLedger.Journal;

namespace NutrientLedger.Store;

/// <summary>One sender's stream and boot, as far as numbers are concerned.</summary>
internal readonly record struct SeenKey(string FarmId, string EquipmentId, TelemetryStream Stream, long Boot)
{
    public string StreamName => Stream.ToString().ToLowerInvariant();
}

/// <summary>
/// What is stored of a sender's numbers: its runs, the readings at the ends of each in the packs' own stored form, the last number
/// that the device said it had given in this boot (0 when it has not said), and since when each hole is known, in order.
/// </summary>
internal sealed record SeenRow(NpgsqlRange<long>[] Numbers, byte[][] Ends, long Announced, DateTimeOffset[] HolesSince)
{
    public static readonly SeenRow Empty = new([], [], 0, []);

    /// <summary>The highest number seen, 0 before the first.</summary>
    public long Highest => Numbers is [.., var last] ? last.UpperBound - 1 : 0;

    /// <summary>The row with other runs.</summary>
    public SeenRow With<TReading>(SeenKey key, SeenRuns<TReading> seen, DateTimeOffset now)
        where TReading : struct, IReading<TReading> =>
        Later(
            this with
            {
                Numbers =
                [
                    .. seen.Runs.Select(run => new NpgsqlRange<long>(run.FirstSeq, true, run.LastSeq + 1, false)),
                ],
                Ends =
                [
                    .. seen.Runs.SelectMany(run =>
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
    public SeenRow Announcing(long lastSeq, DateTimeOffset now) =>
        lastSeq <= Math.Max(Announced, Highest) || lastSeq - Highest > SeenLimits.JumpMax
            ? this
            : Later(this with { Announced = lastSeq }, now);

    /// <summary>The runs; PostgreSQL gives whole-number ranges from their first number, included, to the one after their last.</summary>
    public SeenRuns<TReading> Runs<TReading>()
        where TReading : struct, IReading<TReading> =>
        new(
            Numbers.Select(
                (range, i) =>
                    new SeenRun<TReading>(
                        range.LowerBound,
                        range.UpperBound - 1,
                        RunEnd<TReading>.Kept(Ends[2 * i]),
                        RunEnd<TReading>.Kept(Ends[(2 * i) + 1])
                    )
            )
        );

    /// <summary>The numbers from 1 to the highest one known that have not arrived, in order.</summary>
    public IReadOnlyList<Hole> Holes() =>
        [.. Missing().Select((hole, i) => new Hole(hole.FirstSeq, hole.LastSeq, HolesSince[i]))];

    private SeenRow Later(SeenRow row, DateTimeOffset now) =>
        row with
        {
            HolesSince =
            [
                .. HoleHistory
                    .Since(Holes(), row.Missing().Select(hole => new Hole(hole.FirstSeq, hole.LastSeq, now)))
                    .Select(hole => hole.Since),
            ],
        };

    private IEnumerable<(long FirstSeq, long LastSeq)> Missing()
    {
        long next = 1;
        foreach (var run in Numbers)
        {
            if (run.LowerBound > next)
                yield return (next, run.LowerBound - 1);
            next = run.UpperBound;
        }
        if (Announced >= next)
            yield return (next, Announced);
    }
}
