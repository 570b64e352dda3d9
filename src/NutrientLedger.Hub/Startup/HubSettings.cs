using System.ComponentModel;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Startup;

/// <summary>Options that every command understands: where the database is.</summary>
public class DatabaseSettings : CommandSettings
{
    [CommandOption("--data <FOLDER>")]
    [Description("Folder for the hub's database. Default: the user's data folder.")]
    public string? Data { get; init; }

    [CommandOption("--database <CONNECTION>")]
    [Description("Npgsql connection string of your own PostgreSQL. Default: the hub's own.")]
    public string? Database { get; init; }

    /// <summary>The chosen data folder as a full path.</summary>
    public string DataFolderPath => Path.GetFullPath(Data ?? DataFolder.Default);
}

/// <summary>Options of the commands that listen. Everything listens on loopback only.</summary>
public class HubSettings : DatabaseSettings
{
    /// <summary>Where the page and the query API are found unless told otherwise.</summary>
    public const int DefaultHttpPort = 5080;

    /// <summary>Where sensors connect unless told otherwise: the registered port of MQTT.</summary>
    public const int DefaultMqttPort = 1883;

    [CommandOption("--http-port <PORT>")]
    [Description("Port of the page and the API on 127.0.0.1. Default: 5080.")]
    public int? HttpPort { get; init; }

    [CommandOption("--mqtt-port <PORT>")]
    [Description("Port of the MQTT broker on 127.0.0.1. Default: 1883.")]
    public int? MqttPort { get; init; }

    public override ValidationResult Validate() =>
        HttpPort is < 0 or > 65535 || MqttPort is < 0 or > 65535
            ? ValidationResult.Error("A port must be 1 to 65535, or 0 for any free port.")
        : (HttpPort ?? DefaultHttpPort) == (MqttPort ?? DefaultMqttPort) && HttpPort is not 0
            ? ValidationResult.Error("--http-port and --mqtt-port must differ. Choose another port for one of them.")
        : ValidationResult.Success();
}
