using CsCheck;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Integration.Tests.Persistence.Appending;

/// <summary>
/// An old and a new device under one name, in memory: whatever comes when, no reading is lost or doubled.
/// </summary>
public class AnyOrderTests
{
    private const int Last = 12;

    /// <summary>Messages of either device over its numbers, cut anyhow, in any order, in commits of any size.</summary>
    private static readonly Gen<(bool IsNew, int Boot, int First, int Count)[][]> Commits = Gen.Select(
            Gen.Bool,
            Gen.Int[1, 2],
            Gen.Int[1, Last],
            Gen.Int[1, 6],
            (isNew, boot, first, count) => (isNew, boot, first, Math.Min(count, Last - first + 1))
        )
        .Array[1, 5]
        .Array[1, 10];

    [Fact]
    public void No_reading_is_lost_or_doubled_in_any_order_and_cutting() =>
        Commits.Sample(commits =>
        {
            var hub = new Hub();
            foreach (var commit in commits)
                hub.Append([.. commit.Select(Message)]);
            hub.Decide();
            // All of it comes once more, cut otherwise.
            foreach (var commit in commits)
                hub.Append([.. commit.SelectMany(it => Singles(it).Select(Message))]);
            hub.Decide();

            var sent = commits.SelectMany(commit => commit).SelectMany(it => Singles(it).Select(Reading)).Distinct();
            Assert.Equal(Ordered(sent), Ordered(hub.Stored));
        });

    [Fact]
    public void A_new_device_replaced_by_a_third_one_keeps_the_readings_of_all_three()
    {
        var hub = new Hub();
        for (var device = 0; device < 3; device++)
        {
            hub.Append([Level(device, boot: 1, first: 1, count: 5)]);
            hub.Decide();
            Assert.Equal([new AppendResult.Stored(0, 5, 0)], hub.Append([Level(device, boot: 1, first: 1, count: 5)]));
        }

        Assert.Equal(15, hub.Stored.Count());
        Assert.Equal([1, 3, 5], hub.Boots);
    }

    private static IEnumerable<LevelReading> Ordered(IEnumerable<LevelReading> readings) =>
        readings.OrderBy(reading => reading.MeasuredAtMilliseconds).ThenBy(reading => reading.LevelMillimetres);

    private static IEnumerable<(bool IsNew, int Boot, int First, int Count)> Singles(
        (bool IsNew, int Boot, int First, int Count) message
    ) => Enumerable.Range(message.First, message.Count).Select(seq => (message.IsNew, message.Boot, seq, 1));

    private static LevelReading Reading((bool IsNew, int Boot, int First, int Count) it) =>
        ((StorageLevelMeasured)Message(it).Event).Batch.Readings[0];

    private static DecodedMessage Message((bool IsNew, int Boot, int First, int Count) it) =>
        Level(it.IsNew ? 1 : 0, it.Boot, it.First, it.Count);

    /// <summary>Levels that name their device, boot and number.</summary>
    private static DecodedMessage Level(int device, int boot, int first, int count) =>
        new(
            Some.Farm,
            new StorageLevelMeasured(
                new(
                    Some.Gauge,
                    boot,
                    first,
                    [
                        .. Enumerable
                            .Range(first, count)
                            .Select(seq => new LevelReading(
                                Some.Morning.ToUnixTimeMilliseconds() + (seq * 1000) + (boot * 100_000),
                                1000 + device
                            )),
                    ]
                )
            ),
            $"agri/v1/{Some.Farm}/{Some.Gauge}/store",
            ReadOnlyMemory<byte>.Empty
        );

    /// <summary>The append without its database.</summary>
    private sealed class Hub
    {
        private readonly Dictionary<SequenceKey, ReceivedRangeRow> rows = [];
        private readonly List<(SequenceKey Key, ReadingBatch<LevelReading> Batch)> batches = [];
        private readonly Queue<DecodedMessage> waiting = [];
        private FarmConfiguration configuration = Some.ConfigurationEvents()
            .Aggregate(FarmConfiguration.Empty, (before, @event) => before.With(@event));
        private bool isUndecided;

        public IEnumerable<LevelReading> Stored => batches.SelectMany(it => it.Batch.Readings);

        public IEnumerable<long> Boots => rows.Keys.Select(key => key.Boot).Order();

        public AppendResult[] Append(DecodedMessage[] sent)
        {
            var results = new AppendResult[sent.Length];
            DecodedMessage[] arrived = [.. sent.Select(it => ReplacedDevice.Stored(it, configuration))];
            foreach (
                var own in Enumerable
                    .Range(0, sent.Length)
                    .GroupBy(i => DeviceAppend.KeyOf(arrived[i]))
                    .OrderBy(own => own.Key.Boot)
            )
            {
                var known = new KnownReadings();
                foreach (var key in ReplacedDevice.Earlier(own.Key, configuration).Prepend(own.Key))
                foreach (var (_, batch) in batches.Where(it => it.Key == key))
                    known.Add(key, BatchCodec.Encode(batch));
                var result = DeviceAppend.Append(
                    own.Key,
                    rows.GetValueOrDefault(own.Key, ReceivedRangeRow.Empty),
                    [.. own.Select(i => arrived[i])],
                    configuration,
                    Some.Morning.AddDays(1),
                    known,
                    isUndecided
                );
                rows[own.Key] = result.Received;
                batches.AddRange(result.Events.Select(it => (own.Key, ((StorageLevelMeasured)it.Event).Batch)));
                isUndecided |= result.IsUndecided;
                foreach (var (i, one) in own.Zip(result.Results))
                {
                    results[i] = one;
                    if (one is AppendResult.Rejected)
                        waiting.Enqueue(sent[i]);
                }
            }
            return results;
        }

        /// <summary>A person says "a new device" while a message waits. Each is retried once, oldest first.</summary>
        public void Decide()
        {
            for (var times = 0; waiting.Count > 0; times++)
            {
                Assert.True(times < 100, "Each decision stores at least the oldest message.");
                configuration = configuration.With(
                    new DeviceReplaced(Some.Gauge, Boots.Max() + 1, "Ada Ash", "Another gauge")
                );
                isUndecided = false;
                foreach (var message in waiting.ToArray())
                {
                    waiting.Dequeue();
                    Append([message]);
                }
            }
        }
    }
}
