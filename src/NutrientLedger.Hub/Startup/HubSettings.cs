using System.ComponentModel;
using System.Globalization;
using NutrientLedger.Hub.Startup.Options;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Startup;

/// <summary>Options of every command: where the settings and the database are.</summary>
internal class DatabaseSettings : CommandSettings
{
    [CommandOption("--settings <FILE>")]
    [Description(
        "Settings file (JSON). Default: nutrient-ledger.json in the data folder, if it is there; none with the demo."
    )]
    public string? SettingsFile { get; init; }

    [CommandOption("--data <FOLDER>")]
    [Description("Folder for the hub's database. Default: the user's data folder.")]
    public string? Data { get; init; }

    [CommandOption("--database <CONNECTION>")]
    [Description("Npgsql connection string of your own PostgreSQL. Default: the hub's own.")]
    public string? Database { get; init; }

    /// <summary>
    /// Whether the settings file in the data folder is read when none is named. A demo does not read it, because it may
    /// name a real farm's database.
    /// </summary>
    protected virtual bool ReadsDefaultFile => true;

    /// <summary>Command-line values by option key; null for options left out.</summary>
    protected virtual IEnumerable<(string Key, string? Value)> Given =>
        [(nameof(HubOptions.DataFolder), Data), (nameof(HubOptions.Database), Database)];

    /// <summary>Reads the settings file and the environment. Command-line values win.</summary>
    /// <exception cref="HubStartException">The file cannot be read, or an option is unknown or wrong.</exception>
    public HubConfiguration ReadConfiguration() =>
        HubConfiguration.Read(
            SettingsFile,
            ReadsDefaultFile,
            Given.Where(option => option.Value is not null).ToDictionary()
        );
}

/// <summary>Options of commands that listen, on loopback only.</summary>
internal class HubSettings : DatabaseSettings
{
    [CommandOption("--http-port <PORT>")]
    [Description("Port of the page and the API on 127.0.0.1. Default: 5080.")]
    public int? HttpPort { get; init; }

    [CommandOption("--mqtt-port <PORT>")]
    [Description("Port of the MQTT broker on 127.0.0.1. Default: 1883.")]
    public int? MqttPort { get; init; }

    protected override IEnumerable<(string Key, string? Value)> Given =>
        [
            .. base.Given,
            (nameof(HubOptions.HttpPort), HttpPort?.ToString(CultureInfo.InvariantCulture)),
            (nameof(HubOptions.MqttPort), MqttPort?.ToString(CultureInfo.InvariantCulture)),
        ];
}
