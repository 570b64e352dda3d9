using System.Collections.Concurrent;
using System.Diagnostics;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Database;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Persistence.Projections;

/// <summary>
/// A replay of another process switches a farm to a new generation while this hub posts an event page. The page was
/// computed for the old generation, so it fails and is posted again.
/// </summary>
public sealed class MovedRowTests(TestDatabase database, ITestOutputHelper output) : IClassFixture<TestDatabase>
{
    private const int Switches = 5;

    /// <summary>A failed page makes Marten pause for five seconds.</summary>
    private static readonly TimeSpan MartensPause = TimeSpan.FromSeconds(4);

    [DatabaseFact]
    public async Task A_page_that_meets_a_switch_is_posted_again_at_once_and_without_a_word()
    {
        await database.EmptyAsync();
        var log = new Lines();
        await using var hub = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            configure: services =>
                services.AddLogging(logging => logging.AddProvider(log).SetMinimumLevel(LogLevel.Warning))
        );
        await using var other = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );
        await hub.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await hub.AppendAsync(Some.Message(1, 10));
        await hub.PostedAsync();

        var slowest = TimeSpan.Zero;
        for (var i = 1; i <= Switches; i++)
        {
            Task replay;
            await using (await Phase.HoldAsync(database.ConnectionString, "select 1 from ledger.partition for update"))
            {
                replay = other.Replay.RunAsync(Some.Farm, switchOver: true, progress: null, CancellationToken.None);
                await WaitsAsync("insert into ledger.partition");
                await hub.AppendAsync(Some.Message((i * 10) + 1, (i * 10) + 10));
                await WaitsAsync("ledger.advance");
            }
            var released = Stopwatch.GetTimestamp();
            await hub.PostedAsync();
            var took = Stopwatch.GetElapsedTime(released);
            slowest = took > slowest ? took : slowest;
            await replay;
        }

        output.WriteLine($"slowest posting after a switch: {slowest.TotalMilliseconds:0} ms");
        output.WriteLine(string.Join('\n', log.All));
        Assert.Empty((await hub.AuditAsync()).Findings);
        Assert.Empty(log.All);
        Assert.InRange(slowest, TimeSpan.Zero, MartensPause);
    }

    // Two hubs that both take themselves for the leader, after connections were cut, leave it like this.
    [DatabaseFact]
    public async Task Posting_goes_on_when_another_hub_has_moved_the_note_of_progress()
    {
        await database.EmptyAsync();
        await using var hub = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await hub.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await hub.AppendAsync(Some.Message(1, 10));
        await hub.PostedAsync();
        await database.RunAsync(
            "update journal.mt_event_progression set last_seq_id = last_seq_id - 1 where name = 'Ledger:All'"
        );

        await hub.AppendAsync(Some.Message(11, 20));
        await hub.PostedAsync();

        Assert.Equal(
            19 * 30_000,
            (await hub.ReadAsync()).Lines.Values.Sum(line => line.VolumeMillilitres + line.DisengagedMillilitres)
        );
        Assert.Empty((await hub.AuditAsync()).Findings);
    }

    private Task WaitsAsync(string command) =>
        PersistenceTestHost.UntilAsync(() =>
            database.ReadAsync<bool>(
                $"""
                select exists (select 1 from pg_stat_activity where datname = current_database()
                    and pid <> pg_backend_pid() and wait_event_type = 'Lock' and query like '%{command}%')
                """
            )
        );

    private sealed class Lines : ILoggerProvider, ILogger
    {
        public ConcurrentQueue<string> All { get; } = [];

        public ILogger CreateLogger(string categoryName) => this;

        public void Log<TState>(
            LogLevel logLevel,
            EventId eventId,
            TState state,
            Exception? exception,
            Func<TState, Exception?, string> formatter
        )
        {
            // The hub's log leaves these out.
            if (exception is null || !DatabaseErrors.IsMovedRow(exception))
                All.Enqueue($"{logLevel}: {formatter(state, exception)} {exception?.Message}");
        }

        public bool IsEnabled(LogLevel logLevel) => logLevel >= LogLevel.Warning;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public void Dispose() { }
    }
}
