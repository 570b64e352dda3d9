using System.Collections.Immutable;
using CsCheck;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Integration.Tests.Persistence.ReceivedRanges;

public class RangeSetTests
{
    /// <summary>
    /// Batches of messages of up to a few readings, whose numbers overlap, repeat and arrive in any order.
    /// </summary>
    private static readonly Gen<(int First, int Count)[][]> Batches = Gen.Select(
            Gen.Int[1, 60],
            Gen.Int[1, 9],
            (first, count) => (first, count)
        )
        .Array[1, 8]
        .Array[1, 8];

    [Fact]
    public void Each_number_is_accepted_once_and_its_first_reading_counts() =>
        Batches.Sample(batches =>
        {
            var (packs, runs, firstArrived) = Play(batches);
            var stored = packs
                .SelectMany(pack => pack.Readings.Select((reading, i) => (Seq: pack.FirstSeq + i, reading)))
                .ToArray();
            Assert.Equal(
                firstArrived.OrderBy(pair => pair.Key).Select(pair => (pair.Key, pair.Value)),
                stored.OrderBy(each => each.Seq)
            );
            Assert.Equal(firstArrived.Keys.Order(), runs.SelectMany(run => Some.Numbers(run.FirstSeq, run.LastSeq)));
            Assert.All(runs, run => Assert.Equal(firstArrived[run.FirstSeq], run.First.Reading));
            Assert.All(runs, run => Assert.Equal(firstArrived[run.LastSeq], run.Last.Reading));
            Assert.All(runs.Zip(runs.Skip(1)), pair => Assert.True(pair.First.LastSeq + 1 < pair.Second.FirstSeq));
        });

    [Fact]
    public void Each_pair_of_neighbours_lies_in_exactly_one_batch() =>
        Batches.Sample(batches =>
        {
            var (packs, _, firstArrived) = Play(batches);
            var pairs = packs.SelectMany(pack =>
            {
                LevelReading[] rows = [.. pack.WithNeighbours()];
                return rows.Zip(rows.Skip(1));
            });
            var expected = firstArrived
                .Where(pair => firstArrived.ContainsKey(pair.Key + 1))
                .Select(pair => (pair.Value, firstArrived[pair.Key + 1]));
            Assert.Equal(
                expected.OrderBy(pair => pair.Value.MeasuredAtMilliseconds),
                pairs.OrderBy(pair => pair.First.MeasuredAtMilliseconds)
            );
        });

    [Fact]
    public void Long_input_is_cut_into_batches_of_six_hundred()
    {
        var seen = new RangeSet<LevelReading>([]);
        for (var first = 1; first <= 1401; first += 200)
            seen.Add(first, [.. Some.Numbers(first, first + 199).Select(Some.Level)]);
        var packs = seen.ToBatches(Some.Gauge, 1).ToArray();
        Assert.Equal([600, 600, 400], packs.Select(pack => pack.Readings.Length));
        Assert.Equal([null, Some.Level(600), Some.Level(1200)], packs.Select(pack => pack.Before));
        Assert.All(packs, pack => Assert.Null(pack.After));
    }

    [Theory]
    [InlineData(0, "numbered from 1")]
    [InlineData(RangeLimits.JumpMax + 11, "more than 100000000 beyond 10")]
    public void Absurd_numbers_are_rejected(long firstSeq, string reason)
    {
        var seen = new RangeSet<LevelReading>([new(1, 10, Some.Level(1), Some.Level(10))]);
        Assert.Contains(reason, seen.RejectionReason(firstSeq, 1), StringComparison.Ordinal);
        Assert.Null(seen.RejectionReason(RangeLimits.JumpMax + 10, 1));
    }

    [Fact]
    public void Too_many_gaps_are_rejected_but_a_gap_may_still_be_closed()
    {
        var seen = new RangeSet<LevelReading>(
            Enumerable
                .Range(1, RangeLimits.RangesMax)
                .Select(i => new ReceivedRange<LevelReading>(2 * i, 2 * i, Some.Level(2 * i), Some.Level(2 * i)))
        );
        Assert.Contains("gaps", seen.RejectionReason(10_000, 1), StringComparison.Ordinal);
        Assert.Null(seen.RejectionReason(3, 1));
    }

    /// <summary>
    /// Adds batches as the database does, keeping only received ranges in between. Records what arrived first under
    /// each number.
    /// </summary>
    private static (
        List<ReadingBatch<LevelReading>> Packs,
        IReadOnlyList<ReceivedRange<LevelReading>> Runs,
        Dictionary<long, LevelReading> FirstArrived
    ) Play((int First, int Count)[][] batches)
    {
        var packs = new List<ReadingBatch<LevelReading>>();
        IReadOnlyList<ReceivedRange<LevelReading>> runs = [];
        var firstArrived = new Dictionary<long, LevelReading>();
        var message = 0;
        foreach (var batch in batches)
        {
            var seen = new RangeSet<LevelReading>(runs);
            foreach (var (first, count) in batch)
            {
                // The level shows in which message a reading came; its time is its number's.
                ImmutableArray<LevelReading> readings =
                [
                    .. Some.Numbers(first, first + count - 1).Select(seq => new LevelReading(seq * 1000, message)),
                ];
                message++;
                Assert.Null(seen.RejectionReason(first, count));
                var added = seen.Add(first, readings);
                var expected = readings.Where((reading, i) => firstArrived.TryAdd(first + i, reading));
                Assert.Equal(expected, added);
            }
            packs.AddRange(seen.ToBatches(Some.Gauge, 1));
            runs = [.. seen.Ranges];
        }
        return (packs, runs, firstArrived);
    }
}
