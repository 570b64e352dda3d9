using System.Diagnostics.Metrics;
using System.Net;
using System.Net.Sockets;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using MQTTnet;
using MQTTnet.Formatter;
using NutrientLedger.Ingestion;
using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Persistence;
using NutrientLedger.Persistence.Appending;

namespace NutrientLedger.Integration.Tests.Ingestion;

/// <summary>Ingestion with its broker on a free loopback port.</summary>
internal sealed class IngestionTestHost : IAsyncDisposable
{
    /// <summary>Far longer than any step takes on a busy machine; reached only by a failing test.</summary>
    public static readonly TimeSpan Generous = TimeSpan.FromMinutes(4);

    private readonly WebApplication app;

    private IngestionTestHost(WebApplication app, CollectingJournal journal) => (this.app, Journal) = (app, journal);

    public CollectingJournal Journal { get; }

    public int Port { get; private set; }

    /// <summary>The scope that separates this host's meters from those of other hosts.</summary>
    public object Meters => Service<IMeterFactory>();

    /// <summary>
    /// Starts it. With a database, Persistence is behind the broker instead of the journal in memory.
    /// </summary>
    public static async Task<IngestionTestHost> StartAsync(
        IngestionLimits? limits = null,
        string? database = null,
        TimeProvider? clock = null,
        ILoggerProvider? log = null
    )
    {
        var journal = new CollectingJournal();
        var builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.Services.AddSingleton(clock ?? TimeProvider.System);
        if (log is not null)
            builder.Logging.AddProvider(log);
        if (database is null)
            builder.Services.AddSingleton<IJournal>(journal);
        else
            builder.Services.AddPersistence(database, keepsLedgersCurrent: true);
        builder.Services.AddIngestion(limits);
        // A stop at the host's own timeout would not be a stop by itself, so the timeout is longer than the test's.
        builder.Services.Configure<HostOptions>(host => host.ShutdownTimeout = 2 * Generous);
        builder.WebHost.ConfigureKestrel(kestrel =>
            kestrel.Listen(IPAddress.Loopback, 0, listen => listen.UseEmbeddedBroker())
        );
        var host = new IngestionTestHost(builder.Build(), journal);
        await host.app.StartAsync();
        var addresses = host.Service<IServer>().Features.Get<IServerAddressesFeature>()!;
        host.Port = new Uri(addresses.Addresses.Single()).Port;
        await Until(() => host.Service<IngestionStatus>().BrokerStarted);
        return host;
    }

    public TService Service<TService>()
        where TService : notnull => app.Services.GetRequiredService<TService>();

    /// <summary>A connected device; MQTT 5 by default.</summary>
    public async Task<IMqttClient> DeviceAsync(
        string id = "gauge-1",
        MqttProtocolVersion version = MqttProtocolVersion.V500
    ) => (await ConnectAsync(id, version)).Device;

    public async Task<(IMqttClient Device, MqttClientConnectResult Welcome)> ConnectAsync(
        string id,
        MqttProtocolVersion version,
        bool cleanStart = true
    )
    {
        var device = new MqttClientFactory().CreateMqttClient();
        var options = new MqttClientOptionsBuilder()
            .WithTcpServer("127.0.0.1", Port)
            .WithClientId(id)
            .WithProtocolVersion(version)
            .WithCleanStart(cleanStart)
            .WithTimeout(Generous)
            // A machine busy with other tests must not end the connection.
            .WithNoKeepAlive()
            .Build();
        return (device, await device.ConnectAsync(options));
    }

    /// <summary>A bare connection to the broker, for bytes that no client library would send.</summary>
    public async Task<NetworkStream> BareConnectionAsync()
    {
        var socket = new Socket(AddressFamily.InterNetwork, SocketType.Stream, ProtocolType.Tcp);
        await socket.ConnectAsync(IPAddress.Loopback, Port);
        return new(socket, ownsSocket: true);
    }

    public async Task<HealthReportEntry> HealthAsync()
    {
        var report = await Service<HealthCheckService>().CheckHealthAsync();
        return report.Entries["ingestion"];
    }

    public async Task<int> WaitingAsync() => (int)(await HealthAsync()).Data["waitingMessages"];

    public Task StopAsync() => app.StopAsync();

    public async ValueTask DisposeAsync()
    {
        Journal.Release();
        await app.StopAsync();
        await app.DisposeAsync();
    }

    public static Task Until(Func<bool> condition) => Until(() => Task.FromResult(condition()));

    public static async Task Until(Func<Task<bool>> condition)
    {
        using var limit = new CancellationTokenSource(Generous);
        while (!await condition())
            await Task.Delay(5, limit.Token);
    }
}
