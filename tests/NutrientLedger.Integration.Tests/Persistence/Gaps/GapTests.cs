using System.Diagnostics.Metrics;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Integration.Tests.Persistence.Gaps;

public sealed class GapTests(TestDatabase database) : IClassFixture<TestDatabase>, IAsyncLifetime
{
    private readonly FakeTimeProvider clock = new(Some.Morning);
    private readonly LoggedLines lines = new();
    private PersistenceTestHost store = null!;

    public async Task InitializeAsync()
    {
        if (database.ConnectionString.Length == 0)
            return;
        await database.EmptyAsync();
        store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false,
            services => services.AddSingleton<TimeProvider>(clock).AddSingleton<ILogger<GapReporter>>(lines)
        );
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
    }

    public async Task DisposeAsync()
    {
        if (store is not null)
            await store.DisposeAsync();
    }

    [DatabaseFact]
    public async Task Whatever_arrives_the_gaps_are_the_numbers_that_have_not_and_each_is_known_since_it_opened()
    {
        for (var boot = 1; boot <= 20; boot++)
        {
            var random = new Random(boot);
            var (received, missingSince) = (new HashSet<long>(), new Dictionary<long, DateTimeOffset>());
            for (var step = 0; step < 12; step++)
            {
                clock.Advance(TimeSpan.FromSeconds(1));
                var messages = Enumerable
                    .Range(0, random.Next(1, 4))
                    .Select(_ => (First: random.Next(1, 50), Count: random.Next(1, 9)))
                    .ToArray();
                await store.AppendAsync([
                    .. messages.Select(one => Some.Message(one.First, one.First + one.Count - 1, boot: boot)),
                ]);
                foreach (var (first, count) in messages)
                    received.UnionWith(Some.Numbers(first, first + count - 1));
                foreach (var seq in Some.Numbers(1, received.Max()))
                    missingSince.TryAdd(seq, clock.GetUtcNow());

                var gaps = (await GapsAsync()).Where(gap => gap.Numbers.Boot == boot).ToArray();
                Assert.Equal(
                    Some.Numbers(1, received.Max()).Where(seq => !received.Contains(seq)),
                    gaps.SelectMany(gap => Some.Numbers(gap.Numbers.FirstSeq, gap.Numbers.LastSeq))
                );
                Assert.All(
                    gaps.Zip(gaps.Skip(1)),
                    two => Assert.True(two.First.Numbers.LastSeq + 1 < two.Second.Numbers.FirstSeq)
                );
                Assert.All(gaps, gap => Assert.Equal(missingSince[gap.Numbers.FirstSeq], gap.Since));
                Assert.All(
                    gaps,
                    gap =>
                    {
                        Assert.Equal(Side(gap.Numbers.FirstSeq - 1), gap.Before);
                        Assert.Equal(Side(gap.Numbers.LastSeq + 1), gap.After);
                    }
                );
            }
        }
    }

    [DatabaseFact]
    public async Task A_gap_is_logged_once_when_it_opens_and_once_when_it_closes()
    {
        var counted = new Dictionary<string, long>();
        using var listener = new MeterListener();
        listener.InstrumentPublished = (instrument, meters) =>
        {
            if (
                instrument.Name.StartsWith("persistence.gaps.", StringComparison.Ordinal)
                && instrument.Meter.Scope == store.Meters
            )
                meters.EnableMeasurementEvents(instrument);
        };
        listener.SetMeasurementEventCallback<long>(
            (instrument, count, _, _) => counted[instrument.Name] = counted.GetValueOrDefault(instrument.Name) + count
        );
        listener.Start();

        await store.AppendAsync(Some.Message(1, 10), Some.Message(31, 40));
        Assert.Empty(lines.Take());
        clock.Advance(TimeSpan.FromMinutes(5));
        Assert.Equal(
            $"Readings of {Some.Applicator} (spread, farm {Some.Farm}, boot 1) are missing: no. 11 to 30, 20 in total. They are posted when they arrive.",
            Assert.Single(lines.Take())
        );
        await store.AppendAsync(Some.Message(16, 20));
        await store.AppendAsync(Some.Message(21, 29));
        Assert.Empty(lines.Take());
        clock.Advance(TimeSpan.FromMinutes(5));
        await store.AppendAsync(Some.Message(11, 15), Some.Message(30, 30));

        Assert.Equal(
            $"Missing readings of {Some.Applicator} (spread, farm {Some.Farm}, boot 1) have arrived: no. 11 to 15, 30, missing for 00:10:00 at most.",
            Assert.Single(lines.Take())
        );
        Assert.Empty(await GapsAsync());
        Assert.Equal((1, 2), (counted["persistence.gaps.opened"], counted["persistence.gaps.closed"]));
    }

    [DatabaseFact]
    public async Task A_gap_that_closes_within_seconds_is_not_logged_and_of_others_only_the_rest()
    {
        await store.AppendAsync(Some.Message(1, 10), Some.Message(21, 30));
        clock.Advance(TimeSpan.FromSeconds(9));
        await store.AppendAsync(Some.Message(11, 20), Some.Message(41, 50), Some.Message(52, 60));
        await store.AppendAsync(Some.Message(61, 70, boot: 2));
        clock.Advance(TimeSpan.FromSeconds(9));
        await store.AppendAsync(Some.Message(33, 40), Some.Message(80, 90));
        Assert.Empty(lines.Take());

        clock.Advance(TimeSpan.FromSeconds(1));
        Assert.Equal(
            [Missing(1, "31 to 32, 51, 3 in total"), Missing(2, "1 to 60, 60 in total")],
            lines.Take().Order()
        );
        clock.Advance(TimeSpan.FromSeconds(9));
        Assert.Equal(Missing(1, "61 to 79, 19 in total"), Assert.Single(lines.Take()));
        await store.AppendAsync(Some.Message(31, 31));
        await store.AppendAsync(Some.Message(95, 99));
        await store.DisposeAsync();
        Assert.Equal(Missing(1, "91 to 94, 4 in total"), Assert.Single(lines.Take()));
    }

    [DatabaseFact]
    public async Task The_tail_that_a_device_remembers_is_missing_until_its_backlog_comes()
    {
        await store.AppendAsync(Some.Message(1, 10));
        await store.AppendAsync(Some.Message(1, 5, boot: 2) with { PreviousBoot = new(1, 14) });
        var gap = Assert.Single(await GapsAsync());
        Assert.Equal((new MissingNumbers(1, 11, 14), Side(10), null), (gap.Numbers, gap.Before, gap.After));
        clock.Advance(GapReporter.ReportDelay);

        await store.AppendAsync(Some.Message(6, 9, boot: 2) with { PreviousBoot = new(1, 14) });
        await store.AppendAsync(Some.Message(11, 12));
        Assert.Equal(new MissingNumbers(1, 13, 14), Assert.Single(await GapsAsync()).Numbers);
        await store.AppendAsync(Some.Message(13, 14));
        Assert.Empty(await GapsAsync());
        Assert.Equal(2, lines.Take().Length);
    }

    [DatabaseFact]
    public async Task A_boot_without_any_reading_is_missing_as_a_whole_and_its_watermark_says_so()
    {
        await store.AppendAsync(Some.Message(1, 5, boot: 3) with { PreviousBoot = new(2, 8) });

        Assert.Equal(new MissingNumbers(2, 1, 8), Assert.Single(await GapsAsync()).Numbers);
        var watermarks = await store.Writer.WatermarksAsync([new(Some.Farm, Some.Applicator)], CancellationToken.None);
        Assert.Equal(
            [(3L, 5L, 5L), (2L, 0L, 0L)],
            watermarks.Select(watermark => (watermark.Boot, watermark.UpTo, watermark.Highest))
        );
    }

    [DatabaseFact]
    public async Task What_a_device_cannot_have_counted_to_opens_no_gap()
    {
        await store.AppendAsync(Some.Message(1, 10));
        await store.AppendAsync(
            Some.Message(1, 5, boot: 2) with
            {
                PreviousBoot = new(1, RangeLimits.JumpMax + 11),
            },
            Some.Message(6, 9, boot: 2) with
            {
                PreviousBoot = new(2, 900),
            },
            Some.Message(10, 12, boot: 2) with
            {
                PreviousBoot = new(1, 10),
            }
        );
        Assert.Empty(await GapsAsync());
    }

    private static string Missing(long boot, string numbers) =>
        $"Readings of {Some.Applicator} (spread, farm {Some.Farm}, boot {boot}) are missing: no. {numbers}. They are posted when they arrive.";

    private static GapSide? Side(long seq) =>
        seq == 0
            ? null
            : new(
                DateTimeOffset.FromUnixTimeMilliseconds(Some.Reading(seq).MeasuredAtMilliseconds),
                Some.Reading(seq).TotalMillilitres
            );

    private async Task<IReadOnlyList<OpenGap>> GapsAsync() =>
        [
            .. (await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None)).SelectMany(device =>
                device.OpenGaps
            ),
        ];

    private sealed class LoggedLines : ILogger<GapReporter>
    {
        private readonly List<string> messages = [];

        public string[] Take()
        {
            string[] taken = [.. messages];
            messages.Clear();
            return taken;
        }

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(
            LogLevel logLevel,
            EventId eventId,
            TState state,
            Exception? exception,
            Func<TState, Exception?, string> formatter
        ) => messages.Add(formatter(state, exception));
    }
}
