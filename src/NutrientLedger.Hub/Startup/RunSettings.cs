using System.ComponentModel;
using NutrientLedger.Ingestion.ExternalBrokers;
using NutrientLedger.Journal;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Startup;

/// <summary>Options of a hub that runs for real: its own broker, or one outside that several hubs may share.</summary>
public sealed class RunSettings : HubSettings
{
    private const int ClientNameLengthMax = 80;

    [CommandOption("--broker <HOST:PORT>")]
    [Description("External MQTT 5 broker, for example 127.0.0.1:1884. Default: the hub's own broker.")]
    public string? Broker { get; init; }

    [CommandOption("--farms <IDS>")]
    [Description("Farm ids, separated by commas; each is a partition. Default: all farms in one.")]
    public string? Farms { get; init; }

    [CommandOption("--client-name <NAME>")]
    [Description("MQTT client name. Hubs that share work use the same. Default: nutrient-ledger.")]
    public string? ClientName { get; init; }

    /// <summary>The broker outside, or nothing when the hub runs its own.</summary>
    public ExternalBroker? ExternalBroker =>
        Address is { } address
            ? new(
                address.Host,
                address.Port,
                FarmIds,
                ClientName ?? NutrientLedger.Ingestion.ExternalBrokers.ExternalBroker.UsualClientName
            )
            : null;

    private string[] FarmIds =>
        Farms?.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries) ?? [];

    private Uri? Address =>
        Broker is { } given
        && Uri.TryCreate(
            given.Contains("://", StringComparison.Ordinal) ? given : $"mqtt://{given}",
            UriKind.Absolute,
            out var uri
        )
        && uri is { Scheme: "mqtt", Host.Length: > 0, Port: > 0, PathAndQuery: "" or "/", UserInfo: "" }
            ? uri
            : null;

    public override ValidationResult Validate()
    {
        if (Broker is null)
            return Farms is null && ClientName is null
                ? base.Validate()
                : ValidationResult.Error("--farms and --client-name need --broker. Add it, or leave them out.");
        if (Address is null)
            return ValidationResult.Error("--broker must be HOST:PORT, for example 127.0.0.1:1884.");
        if (MqttPort is not null)
            return ValidationResult.Error(
                "Do not combine --mqtt-port with --broker: the hub then starts no broker of its own."
            );
        if (Farms is not null && FarmIds.Length == 0)
            return ValidationResult.Error("--farms is empty. Leave it out for all farms.");
        if (FarmIds.FirstOrDefault(id => !GivenId.IsValid(id)) is { } wrong)
            return ValidationResult.Error($"\"{wrong}\" in --farms is not a farm id: use 1 to 40 of a-z, 0-9 and -.");
        return ClientName is { Length: 0 or > ClientNameLengthMax }
            ? ValidationResult.Error($"--client-name must have 1 to {ClientNameLengthMax} characters.")
            : base.Validate();
    }
}
