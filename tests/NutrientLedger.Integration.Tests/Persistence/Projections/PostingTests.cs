using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Queries;

namespace NutrientLedger.Integration.Tests.Persistence.Projections;

public sealed class PostingTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task What_is_posted_does_not_depend_on_when_the_configuration_was_recorded()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        var configurationEvents = Some.ConfigurationEvents();
        await store.RecordAsync("early", configurationEvents);
        await store.AppendAsync(Some.Message(1, 400, "early"), Some.Message(401, 900, "early"));
        await store.PostedAsync();

        await store.RecordAsync("late", configurationEvents[0]);
        await store.AppendAsync(Some.Message(401, 900, "late"));
        await store.PostedAsync();
        foreach (var @event in configurationEvents.Skip(1).Reverse())
        {
            await store.RecordAsync("late", @event);
            await store.PostedAsync();
        }
        await store.AppendAsync(Some.Message(1, 400, "late"));
        await store.PostedAsync();

        var accumulator = InMemory(configurationEvents, 1, 900);
        foreach (var farm in (string[])["early", "late"])
        {
            var view = await store.ReadAsync(farm);
            Assert.Equal(Sorted(accumulator.Lines), Sorted(view.Lines));
            Assert.Equal(Printed(accumulator.Coverage()), Printed(view.Coverage));
            Assert.Empty((await store.AuditAsync(farm)).Findings);
        }
        Assert.Contains(
            accumulator.Lines,
            line => line is { Key: { FieldId: "home", PitId: "pit" }, Value.VolumeMillilitres: > 0 }
        );
        Assert.NotEmpty(accumulator.Tiles);
    }

    [DatabaseFact]
    public async Task A_ledger_as_of_a_position_is_what_was_live_then()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        var then = new List<LedgerView>();
        async Task NoteAsync()
        {
            await store.PostedAsync();
            then.Add(await store.ReadAsync());
        }
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await NoteAsync();
        await store.AppendAsync(Some.Message(1, 300), Some.LevelMessage(1, 30));
        await NoteAsync();
        await store.RecordAsync(Some.Farm, Some.Redrawn(-949_999_500));
        await NoteAsync();
        await store.AppendAsync(Some.Message(301, 700), Some.LevelMessage(31, 90));
        await NoteAsync();
        await store.RecordAsync(Some.Farm, Some.Redrawn(-950_100_000));
        await NoteAsync();

        Assert.Equal(
            5,
            then.Select(view => view.Lines.Sum(line => line.Key.GetHashCode() ^ line.Value.GetHashCode() * 31L))
                .Distinct()
                .Count()
        );
        foreach (var view in then)
        {
            var again = await store.ReadAsync(asOf: view.Position);
            Assert.Equal(view.Position, again.Position);
            Assert.Equal(Sorted(view.Lines), Sorted(again.Lines));
            Assert.Equal(Printed(view.Coverage), Printed(again.Coverage));
        }
        var levels = await store.Ledgers.LevelsAsync(Some.Farm, "pit", null, null, null, CancellationToken.None);
        Assert.Equal(90, levels.Sum(level => level.Hour.Readings));
        Assert.Equal(
            levels,
            await store.Ledgers.LevelsAsync(Some.Farm, "pit", null, null, then[^1].Position, CancellationToken.None)
        );
    }

    [DatabaseFact]
    public async Task A_position_that_is_not_posted_yet_is_answered_as_far_as_it_is()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync("ahead", Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 100, "ahead"));
        var posted = await store.PostedAsync();
        Assert.Equal(posted, (await store.ReadAsync("ahead", posted + 1_000_000)).Position);
    }

    [DatabaseFact]
    public async Task A_reader_never_sees_half_of_a_rebuilt_ledger()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync("swung", Some.ConfigurationEvents());
        await store.AppendAsync([
            .. Some.Numbers(0, 9).Select(i => Some.Message((i * 600) + 1, (i + 1) * 600, "swung")),
        ]);
        await store.PostedAsync();
        var wide = await store.ReadAsync("swung");
        await store.RecordAsync("swung", Some.Redrawn(-949_999_500));
        await store.PostedAsync();
        var narrow = await store.ReadAsync("swung");
        Assert.NotEqual(Sorted(wide.Lines), Sorted(narrow.Lines));

        var both = 0;
        using var swung = new CancellationTokenSource();
        var watching = Enumerable.Range(0, 2).Select(_ => Task.Run(WatchAsync)).ToArray();
        // Twelve times, and longer until both have read both: how often a reader looks depends on the machine's speed.
        for (var i = 0; i < 12 || (both < 2 && !watching.Any(reader => reader.IsCompleted)); i++)
        {
            await store.RecordAsync("swung", Some.Redrawn(i % 2 == 0 ? -950_100_000 : -949_999_500));
            await store.PostedAsync();
        }
        await swung.CancelAsync();
        var read = await Task.WhenAll(watching);
        Assert.All(read, views => Assert.Equal(2, views.Count));
        await PersistenceTestHost.UntilAsync(async () =>
            await database.ReadAsync<long>("select count(distinct generation) from ledger.line where farm = 'swung'")
            == 1
        );

        async Task<HashSet<string>> WatchAsync()
        {
            var (wideText, narrowText) = (Printed(wide), Printed(narrow));
            var views = new HashSet<string>();
            while (!swung.IsCancellationRequested)
            {
                var view = Printed(await store.ReadAsync("swung"));
                Assert.True(
                    view == wideText || view == narrowText,
                    "A reader saw neither the one ledger nor the other."
                );
                if (views.Add(view) && views.Count == 2)
                    Interlocked.Increment(ref both);
            }
            return views;
        }
    }

    [DatabaseFact]
    public async Task A_listener_is_notified_of_the_last_posting()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync("heard", Some.ConfigurationEvents());
        await store.PostedAsync();
        using var limit = new CancellationTokenSource(PersistenceTestHost.Patience);
        await using var feed = store.Feed.ListenAsync(limit.Token).GetAsyncEnumerator(limit.Token);
        // Requesting the first posting starts the listener, before anything is appended.
        var next = feed.MoveNextAsync();
        await store.AppendAsync(Some.Message(1, 10, "heard"));
        await store.AppendAsync(Some.Message(11, 20, "heard"));
        var wanted = await store.PostedAsync();
        while (await next && (feed.Current.FarmId != "heard" || feed.Current.Position < wanted))
            next = feed.MoveNextAsync();
        Assert.Equal(("heard", wanted), (feed.Current.FarmId, feed.Current.Position));
    }

    /// <summary>
    /// The ledger of these readings without a database: posted pair by pair, so the cut into batches cannot matter.
    /// </summary>
    private static LedgerAddition InMemory(IEnumerable<IJournalEvent> configurationEvents, long first, long last)
    {
        var inForce = configurationEvents.Aggregate(FarmConfiguration.Empty, (before, @event) => before.With(@event));
        var accumulator = new LedgerAccumulator();
        foreach (var seq in Some.Numbers(first + 1, last))
            accumulator.Post(
                new SpreadingMeasured(new(Some.Applicator, 1, seq, [Some.Reading(seq)], Some.Reading(seq - 1))),
                Some.Morning.AddDays(1),
                inForce
            );
        return accumulator.TakeAll();
    }

    private static string Printed(LedgerView view) =>
        string.Join('\n', Sorted(view.Lines)) + '\n' + Printed(view.Coverage);

    private static string Printed(IEnumerable<CoverageRows> coverage) =>
        string.Join(
            '\n',
            coverage
                .OrderBy(place => (place.FieldId, place.Season))
                .Select(place =>
                    $"{place.FieldId} {place.Season} {string.Join(' ', place.Rows.OrderBy(row => row.Key))}"
                )
        );

    private static IEnumerable<KeyValuePair<LineKey, LineAmounts>> Sorted(
        IReadOnlyDictionary<LineKey, LineAmounts> lines
    ) => lines.OrderBy(line => line.Key.ToString(), StringComparer.Ordinal);
}
