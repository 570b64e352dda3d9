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
    private static readonly Gen<(int First, int Count)[][]> Transactions = Gen.Select(
            Gen.Int[1, 60],
            Gen.Int[1, 9],
            (first, count) => (first, count)
        )
        .Array[1, 8]
        .Array[1, 8];

    [Fact]
    public void Each_number_is_accepted_once_and_its_first_reading_counts() =>
        Transactions.Sample(transactions =>
        {
            var (batches, ranges, firstArrived) = Play(transactions);
            var stored = batches
                .SelectMany(batch => batch.Readings.Select((reading, i) => (Seq: batch.FirstSeq + i, reading)))
                .ToArray();
            Assert.Equal(
                firstArrived.OrderBy(pair => pair.Key).Select(pair => (pair.Key, pair.Value)),
                stored.OrderBy(each => each.Seq)
            );
            Assert.Equal(
                firstArrived.Keys.Order(),
                ranges.SelectMany(range => Some.Numbers(range.FirstSeq, range.LastSeq))
            );
            Assert.All(ranges, range => Assert.Equal(firstArrived[range.FirstSeq], range.First.Reading));
            Assert.All(ranges, range => Assert.Equal(firstArrived[range.LastSeq], range.Last.Reading));
            Assert.All(ranges.Zip(ranges.Skip(1)), pair => Assert.True(pair.First.LastSeq + 1 < pair.Second.FirstSeq));
        });

    [Fact]
    public void Each_pair_of_neighbours_lies_in_exactly_one_batch() =>
        Transactions.Sample(transactions =>
        {
            var (batches, _, firstArrived) = Play(transactions);
            var pairs = batches.SelectMany(batch =>
            {
                LevelReading[] rows = [.. batch.WithNeighbours()];
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
        var received = new RangeSet<LevelReading>([]);
        for (var first = 1; first <= 1401; first += 200)
            received.Add(first, [.. Some.Numbers(first, first + 199).Select(Some.Level)]);
        var batches = received.ToBatches(Some.Gauge, 1).ToArray();
        Assert.Equal([600, 600, 400], batches.Select(batch => batch.Readings.Length));
        Assert.Equal([null, Some.Level(600), Some.Level(1200)], batches.Select(batch => batch.Before));
        Assert.All(batches, batch => Assert.Null(batch.After));
    }

    [Theory]
    [InlineData(0, "numbered from 1")]
    [InlineData(RangeLimits.JumpMax + 11, "more than 100000000 beyond 10")]
    public void Absurd_numbers_are_rejected(long firstSeq, string reason)
    {
        var received = new RangeSet<LevelReading>([new(1, 10, Some.Level(1), Some.Level(10))]);
        Assert.Contains(reason, received.RejectionReason(firstSeq, 1), StringComparison.Ordinal);
        Assert.Null(received.RejectionReason(RangeLimits.JumpMax + 10, 1));
    }

    [Fact]
    public void Too_many_gaps_are_rejected_but_a_gap_may_still_be_closed()
    {
        var received = new RangeSet<LevelReading>(
            Enumerable
                .Range(1, RangeLimits.RangesMax)
                .Select(i => new ReceivedRange<LevelReading>(2 * i, 2 * i, Some.Level(2 * i), Some.Level(2 * i)))
        );
        Assert.Contains("gaps", received.RejectionReason(10_000, 1), StringComparison.Ordinal);
        Assert.Null(received.RejectionReason(3, 1));
    }

    /// <summary>
    /// Adds batches as the database does, keeping only received ranges in between. Records what arrived first under
    /// each number.
    /// </summary>
    private static (
        List<ReadingBatch<LevelReading>> Batches,
        IReadOnlyList<ReceivedRange<LevelReading>> Ranges,
        Dictionary<long, LevelReading> FirstArrived
    ) Play((int First, int Count)[][] transactions)
    {
        var batches = new List<ReadingBatch<LevelReading>>();
        IReadOnlyList<ReceivedRange<LevelReading>> ranges = [];
        var firstArrived = new Dictionary<long, LevelReading>();
        var message = 0;
        foreach (var messages in transactions)
        {
            var received = new RangeSet<LevelReading>(ranges);
            foreach (var (first, count) in messages)
            {
                // The level shows in which message a reading came; its time is its number's.
                ImmutableArray<LevelReading> readings =
                [
                    .. Some.Numbers(first, first + count - 1).Select(seq => new LevelReading(seq * 1000, message)),
                ];
                message++;
                Assert.Null(received.RejectionReason(first, count));
                var added = received.Add(first, readings);
                var expected = readings.Where((reading, i) => firstArrived.TryAdd(first + i, reading));
                Assert.Equal(expected, added);
            }
            batches.AddRange(received.ToBatches(Some.Gauge, 1));
            ranges = [.. received.Ranges];
        }
        return (batches, ranges, firstArrived);
    }
}
