using Npgsql;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Persistence.Verification;

namespace NutrientLedger.Integration.Tests.Ingestion;

public sealed class DatabaseOutageTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Farm = "quarry-farm";
    private const int Sent = 600;
    private const int CutsMax = 15;

    [DatabaseFact]
    public async Task Connections_lost_under_load_lose_no_message_and_double_none()
    {
        await using var host = await IngestionTestHost.StartAsync(
            // No message may exceed the commit limit here, however long the machine takes over a commit.
            new IngestionLimits { CommitLimit = IngestionTestHost.Generous },
            database.ConnectionString
        );
        var farm = new FarmRegistered(
            "Quarry Farm",
            "America/Chicago",
            10,
            1,
            new DateOnly(2025, 10, 1),
            CoverageGrid.At(430_000_000)
        );
        await host.Service<ConfigurationStore>().RecordAsync(Farm, 0, [farm], CancellationToken.None);
        using var device = await host.DeviceAsync();

        var sending = Task.Run(async () =>
        {
            foreach (var chunk in Enumerable.Range(1, Sent).Chunk(20))
            {
                var answers = await Task.WhenAll(chunk.Select(seq => device.PublishLevelAsync(seq)));
                Assert.All(answers, answer => Assert.True(answer.IsSuccess, answer.ReasonString));
            }
        });
        var ended = 0;
        for (var cuts = 0; cuts < CutsMax && !sending.IsCompleted; cuts++)
        {
            ended += await CutConnectionsAsync();
            await Task.WhenAny(sending, Task.Delay(50));
        }
        await sending.WaitAsync(IngestionTestHost.Generous);

        Assert.InRange(ended, 1, int.MaxValue);
        var state = Assert.Single(await AskAsync(() => host.Service<DeviceReader>().DevicesAsync(Farm, default)));
        Assert.Equal(Sent, state.ReadingsStored);
        Assert.Empty(state.Gaps);
        await IngestionTestHost.Until(async () =>
            await AskAsync(() => host.Service<DeviceReader>().PositionsAsync(default)) is var (journal, posted)
            && posted >= journal
        );
        var audit = await AskAsync(() => host.Service<LedgerAudit>().RunAsync(Farm, default));
        Assert.Empty(audit.Findings);
    }

    /// <summary>A query may get a pooled connection that was cut while idle; it is retried.</summary>
    private static async Task<TAnswer> AskAsync<TAnswer>(Func<Task<TAnswer>> question)
    {
        while (true)
            try
            {
                return await question();
            }
            catch (NpgsqlException e) when (e.IsTransient) { }
    }

    /// <summary>Ends every other connection to the database, as a restarting server would.</summary>
    private async Task<int> CutConnectionsAsync()
    {
        var unpooled = new NpgsqlConnectionStringBuilder(database.ConnectionString) { Pooling = false };
        await using var source = NpgsqlDataSource.Create(unpooled.ConnectionString);
        await using var command = source.CreateCommand(
            """
            select count(pg_terminate_backend(pid)) from pg_stat_activity
            where datname = current_database() and pid <> pg_backend_pid()
            """
        );
        return (int)(long)(await command.ExecuteScalarAsync())!;
    }
}
