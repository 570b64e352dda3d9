using Microsoft.Extensions.DependencyInjection;
using Npgsql;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Ledger.Weather;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Queries;

namespace NutrientLedger.Integration.Tests.Persistence.Queries;

/// <summary>
/// Reading by the index of batches gives what reading the whole journal gives: with clocks that were shifted, messages
/// that came weeks late, and times that cannot be right.
/// </summary>
public sealed class MeasuredBatchesTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task The_index_finds_every_reading_of_a_period()
    {
        var clock = new SettableClock();
        await using var store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false,
            services => services.AddSingleton<TimeProvider>(clock)
        );
        clock.Now = Some.Morning;
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        var random = new Random(20261005);
        foreach (var message in UntidyStreams.Messages(random).OrderBy(it => it.RecordedAt))
        {
            clock.Now = message.RecordedAt;
            await store.AppendAsync(message.Message);
        }
        await store.RecordAsync(Some.Farm, UntidyStreams.Decisions());
        var configuration = (await store.Configurations.ReadAsync(Some.Farm, null, default)).Configuration;

        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var all = new List<StoredEvent>();
        await foreach (var row in new JournalReader(source).BatchesAsync(Some.Farm, 0, long.MaxValue, default))
            all.Add(row);
        Assert.Equal(UntidyStreams.Batches * 3, all.Count);

        var (levels, rain, findings) = (0, 0, 0);
        foreach (
            var from in Enumerable
                .Range(0, 40)
                .Select(_ => UntidyStreams.Start + random.NextInt64(UntidyStreams.Days(-10), UntidyStreams.Days(40)))
        )
        {
            var until = from + random.NextInt64(1, UntidyStreams.Days(4));
            long? asOf = random.Next(2) == 0 ? null : all[random.Next(all.Count)].Position;
            levels += await SameLevelsAsync(source, configuration, all, from, until, asOf);
            rain += await SameRainAsync(source, configuration, all, from, until, asOf);
            findings += await SameFindingsAsync(source, configuration, all, from, until);
        }
        Assert.True((levels > 1000, rain > 1000, findings > 100) == (true, true, true), $"{levels} {rain} {findings}");
    }

    private static async Task<int> SameLevelsAsync(
        NpgsqlDataSource source,
        FarmConfiguration configuration,
        List<StoredEvent> all,
        long from,
        long until,
        long? asOf
    )
    {
        var read = await new PitReadings(source).LevelsAsync(
            Some.Farm,
            configuration,
            "pit",
            from,
            until,
            asOf,
            CancellationToken.None
        );
        LevelAt[] expected =
        [
            .. UpTo(all, asOf)
                .Where(row => row.Event is StorageLevelMeasured)
                .SelectMany(row =>
                    PitLevels.Of(((StorageLevelMeasured)row.Event).Batch, row.RecordedAt, configuration, "pit")
                )
                .Where(level => level.AtMilliseconds >= from && level.AtMilliseconds < until),
        ];
        Assert.Equal(expected.OrderBy(it => it.AtMilliseconds).ThenBy(it => it.Millimetres), InOrder(read));
        return expected.Length;

        static IEnumerable<LevelAt> InOrder(IEnumerable<LevelAt> levels) =>
            levels.OrderBy(it => it.AtMilliseconds).ThenBy(it => it.Millimetres);
    }

    private static async Task<int> SameRainAsync(
        NpgsqlDataSource source,
        FarmConfiguration configuration,
        List<StoredEvent> all,
        long from,
        long until,
        long? asOf
    )
    {
        var read = await new PitReadings(source).RainAsync(
            Some.Farm,
            configuration,
            from,
            until,
            asOf,
            CancellationToken.None
        );
        RainTotal[] expected =
        [
            .. UpTo(all, asOf)
                .Where(row => row.Event is WeatherMeasured)
                .SelectMany(row => RainTotal.Of(((WeatherMeasured)row.Event).Batch, row.RecordedAt, configuration))
                .Where(it => it.AtMilliseconds >= from && it.AtMilliseconds < until),
        ];
        Assert.Equal(expected.ToHashSet(), read.ToHashSet());
        Assert.Equal(expected.Length, read.Count);
        return expected.Length;
    }

    private static async Task<int> SameFindingsAsync(
        NpgsqlDataSource source,
        FarmConfiguration configuration,
        List<StoredEvent> all,
        long from,
        long until
    )
    {
        var read = await new FindingReader(source).FindAsync(
            Some.Farm,
            configuration,
            DateTimeOffset.FromUnixTimeMilliseconds(from),
            DateTimeOffset.FromUnixTimeMilliseconds(until),
            CancellationToken.None
        );
        var gathered = new GatheredReadings(configuration, from, until);
        foreach (var row in all)
            gathered.Add(row.Event, row.RecordedAt);
        Assert.Equal(gathered.Findings(), read);
        return read.Count;
    }

    private static IEnumerable<StoredEvent> UpTo(List<StoredEvent> all, long? asOf) =>
        all.Where(row => row.Position <= (asOf ?? long.MaxValue));

    private sealed class SettableClock : TimeProvider
    {
        public DateTimeOffset Now { get; set; }

        public override DateTimeOffset GetUtcNow() => Now;
    }
}
