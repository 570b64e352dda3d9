using System.ComponentModel;
using NutrientLedger.Intake.Line;
using NutrientLedger.Journal;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub;

/// <summary>Options of a hub that runs for real: its own broker, or one outside that several hubs may share.</summary>
public sealed class RunSettings : HubSettings
{
    private const int ClientNameLengthMax = 80;

    [CommandOption("--broker <HOST:PORT>")]
    [Description(
        "MQTT 5 broker to take messages from, for example 127.0.0.1:1884. The hub then starts none of its own."
    )]
    public string? Broker { get; init; }

    [CommandOption("--farms <IDS>")]
    [Description("Farms to take in from the broker, with commas between; each is a partition. Left out: all in one.")]
    public string? Farms { get; init; }

    [CommandOption("--client-name <NAME>")]
    [Description("Name of the hub with the broker (usually nutrient-ledger); hubs that share work have the same.")]
    public string? ClientName { get; init; }

    /// <summary>The broker outside, or nothing when the hub runs its own.</summary>
    public ExternalBroker? ExternalBroker =>
        Address is { } address
            ? new(address.Host, address.Port, FarmIds, ClientName ?? Intake.Line.ExternalBroker.UsualClientName)
            : null;

    private string[] FarmIds =>
        Farms?.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries) ?? [];

    private Uri? Address =>
        Broker is { } told
        && Uri.TryCreate(
            told.Contains("://", StringComparison.Ordinal) ? told : $"mqtt://{told}",
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
                : ValidationResult.Error(
                    "--farms and --client-name go with --broker; a hub's own broker hears all farms."
                );
        if (Address is null)
            return ValidationResult.Error(
                "--broker is HOST:PORT, for example 127.0.0.1:1884; mqtt:// may stand before it."
            );
        if (MqttPort is not null)
            return ValidationResult.Error("--mqtt-port is the hub's own broker's; with --broker there is none.");
        if (Farms is not null && FarmIds.Length == 0)
            return ValidationResult.Error("--farms names no farm; leave it out to take in all.");
        if (FarmIds.FirstOrDefault(id => !GivenId.IsOne(id)) is { } wrong)
            return ValidationResult.Error($"\"{wrong}\" in --farms is no farm id: 1 to 40 of a-z, 0-9 and -.");
        return ClientName is { Length: 0 or > ClientNameLengthMax }
            ? ValidationResult.Error($"--client-name has 1 to {ClientNameLengthMax} characters.")
            : base.Validate();
    }
}
