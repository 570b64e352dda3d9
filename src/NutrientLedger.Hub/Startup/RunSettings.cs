using System.ComponentModel;
using NutrientLedger.Hub.Startup.Options;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Startup;

/// <summary>Options of a real hub: its own broker, or an external one that several hubs may share.</summary>
internal sealed class RunSettings : HubSettings
{
    [CommandOption("--broker <HOST:PORT>")]
    [Description("External MQTT 5 broker, for example 127.0.0.1:1884. Default: the hub's own broker.")]
    public string? Broker { get; init; }

    [CommandOption("--farms <IDS>")]
    [Description("Farm ids, separated by commas; each is a partition. Default: all farms in one.")]
    public string? Farms { get; init; }

    [CommandOption("--client-name <NAME>")]
    [Description("MQTT client name. Hubs that share work use the same. Default: nutrient-ledger.")]
    public string? ClientName { get; init; }

    protected override IEnumerable<(string Key, string? Value)> Given =>
        [
            .. base.Given,
            ($"{nameof(HubOptions.Broker)}:{nameof(BrokerOptions.Address)}", Broker),
            ($"{nameof(HubOptions.Broker)}:{nameof(BrokerOptions.Farms)}", Farms),
            ($"{nameof(HubOptions.Broker)}:{nameof(BrokerOptions.ClientName)}", ClientName),
        ];

    public override ValidationResult Validate() =>
        Broker is not null && MqttPort is not null
            ? ValidationResult.Error(
                "Do not combine --mqtt-port with --broker: the hub then starts no broker of its own."
            )
            : base.Validate();
}
