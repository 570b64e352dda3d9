using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Integration.Tests.Persistence.Queries;

public sealed class LedgerReaderTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task Levels_are_those_of_the_pit_and_the_hours_asked_for_live_and_as_of_a_position()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.RecordAsync(
            Some.Farm,
            new PitRegistered("lagoon", "Lagoon", new RoundTank(30_000, 4_000), 3_700),
            new SensorMounted("level-2", "gauge-2", SensorPlace.InPit, "lagoon", Some.Morning.AddDays(-30))
        );
        await store.AppendAsync(Some.LevelMessage(1, 300), Some.LevelMessage(1, 120, "gauge-2"));
        var position = await store.PostedAsync();

        // A level a minute from the morning's minute 1 on. Counts an hour: 59, 60, 60, 60, 60 and 1 in the pit; 59, 60
        // and 1 in the lagoon.
        foreach (var asOf in (long?[])[null, position])
        {
            async Task<IEnumerable<long>> CountsAsync(string pit, int? fromHour, int? toHour) =>
                (
                    await store.Ledgers.LevelsAsync(
                        Some.Farm,
                        pit,
                        fromHour is { } from ? Some.Morning.AddHours(from) : null,
                        toHour is { } to ? Some.Morning.AddHours(to) : null,
                        asOf,
                        CancellationToken.None
                    )
                ).Select(level => level.Hour.Readings);
            Assert.Equal([59, 60, 60, 60, 60, 1], await CountsAsync("pit", null, null));
            Assert.Equal([60, 60, 1], await CountsAsync("pit", 3, null));
            Assert.Equal([60, 60], await CountsAsync("pit", 1, 2));
            Assert.Equal([59, 60, 1], await CountsAsync("lagoon", null, 4));
            Assert.Empty(await CountsAsync("well", null, null));
        }
    }

    [DatabaseFact]
    public async Task Lines_alone_are_those_of_the_whole_view()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync("lined", Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 300, "lined"));
        var position = await store.PostedAsync();
        foreach (var asOf in (long?[])[null, position])
        {
            var view = await store.ReadAsync("lined", asOf);
            Assert.NotEmpty(view.Lines);
            await SameAsync(season: null, view.Lines);
            await SameAsync(season: 2027, view.Lines);
            await SameAsync(season: 2026, new Dictionary<LineKey, LineAmounts>());

            async Task SameAsync(int? season, IReadOnlyDictionary<LineKey, LineAmounts> expected)
            {
                var lines = await store.Ledgers.LinesAsync("lined", season, asOf, CancellationToken.None);
                Assert.Equal(view.Position, lines.Position);
                Assert.Equal(expected.ToHashSet(), lines.Lines.ToHashSet());
            }
        }
    }
}
