using Npgsql;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Ingestion;
using NutrientLedger.Persistence.Postgres;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// Goal: a full disk under the database loses no acknowledged reading and doubles none. The hub reports it with a
/// remedy and recovers by itself once there is room. Method: the hub is a process and its PostgreSQL lies on a small
/// file system in memory. A ballast file fills it completely while a device sends on. Where the server ends because it
/// cannot write its log, it is started again after the ballast is gone, as a supervisor does. The hub is not restarted.
/// </summary>
public sealed class FullDiskTests(ITestOutputHelper output)
{
    private const string DiskFull = "the database disk is full";
    private static readonly TimeSpan Between = TimeSpan.FromSeconds(2);

    [SmallDiskFact]
    public async Task A_full_disk_is_reported_and_nothing_is_lost_once_there_is_room()
    {
        using var disk = SmallDisk.Mount(megabytes: 160);
        var server = await PrivatePostgres.StartAsync(disk.Folder, CancellationToken.None);
        try
        {
            await FaultyFarm.ImportAsync(server.ConnectionString);
            await using var hub = HubProcess.Start([
                "run",
                "--database",
                server.ConnectionString,
                "--http-port",
                "0",
                "--mqtt-port",
                "0",
            ]);
            var (httpPort, mqttPort) = await hub.ListeningAsync();
            using var client = new HttpClient { BaseAddress = new($"http://127.0.0.1:{httpPort}") };
            var device = new FaultyDevice(mqttPort, FaultyFarm.Topic, seed: 20_261_126);
            var stop = new TaskCompletionSource();
            var sending = device.SendAsync(stop.Task);
            await Task.WhenAny(sending, Task.Delay(Between));

            disk.Fill();
            await IngestionTestHost.Until(async () =>
                sending.IsCompleted || (await ReadyAsync(client)).Contains(DiskFull, StringComparison.Ordinal)
            );
            await await Task.WhenAny(sending, device.NotStoredNow);
            await RequestLogFilesAsync(server.ConnectionString);
            disk.MakeRoom();
            server = await PrivatePostgres.StartAsync(disk.Folder, CancellationToken.None);
            output.WriteLine(server.Joined ? "The server went on." : "The server had ended and was started again.");
            var before = device.ReadingsAcknowledged;
            await IngestionTestHost.Until(() => sending.IsCompleted || device.ReadingsAcknowledged > before);
            await Task.WhenAny(sending, Task.Delay(Between));
            stop.SetResult();
            await sending;

            Assert.False(hub.HasEnded, hub.Output);
            Assert.Contains(DiskFull, hub.Output, StringComparison.Ordinal);
            await IngestionTestHost.Until(async () =>
                (await ReadyAsync(client)).Contains("\"Healthy\"", StringComparison.OrdinalIgnoreCase)
            );
            await FaultyFarm.AssertWholeAsync(server.ConnectionString, device, output);
        }
        finally
        {
            disk.MakeRoom();
            await server.DisposeAsync();
        }
    }

    private static async Task<string> ReadyAsync(HttpClient client)
    {
        using var answer = await client.GetAsync("/health/ready");
        return await answer.Content.ReadAsStringAsync();
    }

    /// <summary>Makes the server request new log files, which it cannot do without.</summary>
    private static async Task RequestLogFilesAsync(string connectionString)
    {
        try
        {
            await using var source = NpgsqlDataSource.Create(connectionString + ";Pooling=false");
            for (var i = 0; i < 20; i++)
            {
                await using var request = source.CreateCommand(
                    "select pg_logical_emit_message(false, 'test', repeat('x', 4000000)), pg_switch_wal()"
                );
                await request.ExecuteNonQueryAsync();
            }
        }
        catch (NpgsqlException)
        {
            // It has no room for them and may have ended because of that.
        }
    }
}
