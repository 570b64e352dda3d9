using System.Net;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using NutrientLedger.Ingestion;
using NutrientLedger.Persistence;
using NutrientLedger.Persistence.Postgres;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Web;
using NutrientLedger.Web.Queries;
using OpenTelemetry.Metrics;
using Serilog;
using Serilog.Events;

namespace NutrientLedger.Hub.Startup;

/// <summary>The whole hub in one process: broker, journal, ledgers, query API and page, on loopback.</summary>
internal static class HubHost
{
    /// <summary>Path of the hub's metrics in the Prometheus text format.</summary>
    public const string MetricsPath = "/metrics";

    private static readonly string[] Meters = ["NutrientLedger.Ingestion", PostingMeter.Name];

    /// <summary>Composes the application. Nothing listens until it is started.</summary>
    /// <param name="configuration">The hub's options; a database must be among them.</param>
    /// <param name="minimumLevel">The lowest level that is logged.</param>
    /// <param name="farmClock">The farm's clock, if it differs from the system clock.</param>
    /// <param name="server">The hub's own database server, which is started again when it dies.</param>
    /// <exception cref="HubStartException">An option is wrong.</exception>
    public static WebApplication Compose(
        IConfiguration configuration,
        LogEventLevel minimumLevel = LogEventLevel.Information,
        FarmClock? farmClock = null,
        PrivatePostgres? server = null
    )
    {
        var options = HubConfiguration.OptionsOf(configuration);
        var connectionString =
            options.Database ?? throw new HubStartException("Database is missing. Set a connection string.");
        var broker = options.Broker.ToBroker();
        var limits = options.Ingestion.ToLimits(options.DeadLetters);
        var builder = WebApplication.CreateSlimBuilder();
        builder.Services.AddSerilog(log => HubLog.Configure(log, minimumLevel));
        builder.Services.AddSingleton(TimeProvider.System);
        if (server is not null)
            builder.Services.AddSingleton(server).AddHostedService<ServerSupervisor>();
        builder.Services.AddPersistence(connectionString, keepsLedgersCurrent: true);
        builder.Services.AddHealthChecks().AddCheck<PersistenceHealth>("persistence");
        if (broker is null)
            builder.Services.AddIngestion(limits);
        else
            builder.Services.AddIngestion(broker, limits);
        if (farmClock is not null)
            builder.Services.AddSingleton(farmClock);
        builder.Services.AddWeb();
        builder.Services.AddOpenTelemetry().WithMetrics(metrics => metrics.AddMeter(Meters).AddPrometheusExporter());
        builder.WebHost.ConfigureKestrel(kestrel =>
        {
            kestrel.Listen(IPAddress.Loopback, options.HttpPort);
            if (broker is null)
                kestrel.Listen(IPAddress.Loopback, options.MqttPort, listen => listen.UseEmbeddedBroker());
        });
        var app = builder.Build();
        app.MapWeb();
        app.MapPrometheusScrapingEndpoint(MetricsPath);
        return app;
    }

    /// <summary>The HTTP and MQTT ports of a started hub. MQTT is 0 with an external broker.</summary>
    public static (int Http, int Mqtt) PortsOf(WebApplication app)
    {
        var addresses = app
            .Services.GetRequiredService<IServer>()
            .Features.Get<IServerAddressesFeature>()!
            .Addresses.Select(address => new Uri(address).Port)
            .ToArray();
        return (addresses[0], addresses.ElementAtOrDefault(1));
    }
}
