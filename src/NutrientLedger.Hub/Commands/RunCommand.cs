using NutrientLedger.Hub.Startup;
using NutrientLedger.Hub.Startup.Options;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>Runs the hub until it is stopped.</summary>
internal sealed class RunCommand : AsyncCommand<RunSettings>
{
    public override async Task<int> ExecuteAsync(
        CommandContext context,
        RunSettings settings,
        CancellationToken cancellationToken
    )
    {
        var configuration = settings.ReadConfiguration();
        var options = configuration.Options;
        Ports.Require(options.HttpPort, "--http-port");
        var broker = options.Broker.ToBroker();
        if (broker is null)
            Ports.Require(options.MqttPort, "--mqtt-port");
        await using var database = await HubDatabase.OpenAsync(options, HubDatabase.Own, cancellationToken);
        await using var app = HubHost.Compose(
            configuration.With((nameof(HubOptions.Database), database.ConnectionString)),
            server: database.Server
        );
        await database.StartAsync(app, cancellationToken);
        var (httpPort, mqttPort) = HubHost.PortsOf(app);
        AnsiConsole.MarkupLineInterpolated($"Page and query API: [bold]http://127.0.0.1:{httpPort}/[/]");
        AnsiConsole.MarkupLineInterpolated(
            broker is null
                ? (FormattableString)$"Sensors connect to: [bold]mqtt://127.0.0.1:{mqttPort}[/]"
                : $"Broker: [bold]mqtt://{broker.Host}:{broker.Port}[/]"
        );
        if (configuration.FilePath is { } file)
            AnsiConsole.MarkupLineInterpolated($"Settings: {file}");
        AnsiConsole.MarkupLineInterpolated(
            $"Data: {(database.IsOwn ? DataFolder.PathOf(options) : "the given PostgreSQL")}. Stop with Ctrl+C."
        );
        await app.WaitForShutdownAsync(cancellationToken);
        return Environment.ExitCode;
    }
}
