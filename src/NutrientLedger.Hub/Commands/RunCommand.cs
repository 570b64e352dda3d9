using NutrientLedger.Hub.Startup;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>Runs the hub until it is stopped.</summary>
public sealed class RunCommand : AsyncCommand<RunSettings>
{
    public override async Task<int> ExecuteAsync(
        CommandContext context,
        RunSettings settings,
        CancellationToken cancellationToken
    )
    {
        var http = Ports.Require(settings.HttpPort ?? HubSettings.DefaultHttpPort, "--http-port");
        var broker = settings.ExternalBroker;
        var mqtt = broker is null ? Ports.Require(settings.MqttPort ?? HubSettings.DefaultMqttPort, "--mqtt-port") : 0;
        await using var database = await HubDatabase.OpenAsync(settings, HubDatabase.Own, cancellationToken);
        await using var app = HubHost.Compose(database.ConnectionString, http, mqtt, broker: broker);
        await database.StartAsync(app, cancellationToken);
        var (httpPort, mqttPort) = HubHost.PortsOf(app);
        AnsiConsole.MarkupLineInterpolated($"Page and query API: [bold]http://127.0.0.1:{httpPort}/[/]");
        AnsiConsole.MarkupLineInterpolated(
            broker is null
                ? (FormattableString)$"Sensors connect to: [bold]mqtt://127.0.0.1:{mqttPort}[/]"
                : $"Broker: [bold]mqtt://{broker.Host}:{broker.Port}[/]"
        );
        AnsiConsole.MarkupLineInterpolated(
            $"Data: {(database.IsOwn ? settings.DataFolderPath : "the given PostgreSQL")}. Stop with Ctrl+C."
        );
        await app.WaitForShutdownAsync(cancellationToken);
        return 0;
    }
}
