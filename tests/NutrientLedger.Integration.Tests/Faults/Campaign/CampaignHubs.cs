using Npgsql;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Faults.Campaign;

/// <summary>
/// Two hubs as processes on one database, each with its own broker. Either may be killed at any moment.
/// </summary>
internal sealed class CampaignHubs(string connectionString) : IAsyncDisposable
{
    private readonly HubProcess?[] hubs = new HubProcess?[2];
    private readonly (int Http, int Mqtt)[] ports = new (int, int)[2];

    public async Task StartAsync()
    {
        await StartAsync(0);
        await StartAsync(1);
    }

    /// <summary>The broker's port of one of the hubs, which may be dead just now.</summary>
    public int MqttPort(int hub) => ports[hub].Mqtt;

    public Uri Address(int hub) => new($"http://127.0.0.1:{ports[hub].Http}/");

    /// <summary>Kills a hub with SIGKILL and starts it again.</summary>
    public async Task KillAsync(int hub)
    {
        await hubs[hub]!.DisposeAsync();
        await StartAsync(hub);
    }

    /// <summary>Stops a hub for a while as a swapping machine would, then lets it go on.</summary>
    public async Task SuspendAsync(int hub, TimeSpan time)
    {
        await hubs[hub]!.SignalAsync("STOP");
        await Task.Delay(time);
        await hubs[hub]!.SignalAsync("CONT");
    }

    /// <summary>Ends every other connection to the database, as a restarting server would.</summary>
    public async Task CutConnectionsAsync()
    {
        await using var source = NpgsqlDataSource.Create(connectionString + ";Pooling=false");
        await using var command = source.CreateCommand(
            """
            select count(pg_terminate_backend(pid)) from pg_stat_activity
            where datname = current_database() and pid <> pg_backend_pid()
            """
        );
        await command.ExecuteScalarAsync();
    }

    /// <summary>What each hub says of its health, and the end of what it printed.</summary>
    public async Task<string> StateAsync()
    {
        var said = new List<string>();
        using var client = new HttpClient { Timeout = TimeSpan.FromSeconds(10) };
        for (var hub = 0; hub < hubs.Length; hub++)
            try
            {
                said.Add($"Hub {hub}: {await client.GetStringAsync(new Uri(Address(hub), "health/ready"))}");
            }
            catch (Exception e) when (e is HttpRequestException or TaskCanceledException)
            {
                said.Add($"Hub {hub}: {e.Message}");
            }
            finally
            {
                said.AddRange(hubs[hub]!.Output.Split('\n')[^Math.Min(40, hubs[hub]!.Output.Split('\n').Length)..]);
            }
        return string.Join('\n', said);
    }

    public async ValueTask DisposeAsync()
    {
        foreach (var hub in hubs)
            if (hub is not null)
                await hub.DisposeAsync();
    }

    private async Task StartAsync(int hub)
    {
        hubs[hub] = HubProcess.Start("run", "--database", connectionString, "--http-port", "0", "--mqtt-port", "0");
        ports[hub] = await hubs[hub]!.ListeningAsync();
    }
}
