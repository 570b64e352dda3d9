using System.ComponentModel.DataAnnotations;
using NutrientLedger.Persistence;

namespace NutrientLedger.Hub.Startup.Options;

/// <summary>
/// The options of a hub. They come from the settings file, the environment and the command line; the last one wins.
/// The guide's page of options lists them all.
/// </summary>
public sealed class HubOptions : IValidatableObject
{
    /// <summary>Port of the page and the API on 127.0.0.1, 0 to 65535. 0 takes any free port. Default: 5080.</summary>
    [Range(0, 65535)]
    public int HttpPort { get; init; } = 5080;

    /// <summary>
    /// Port of the hub's own MQTT broker on 127.0.0.1, 0 to 65535. 0 takes any free port. Default: 1883, MQTT's
    /// registered port. With <see cref="BrokerOptions.Address"/> it is not used.
    /// </summary>
    [Range(0, 65535)]
    public int MqttPort { get; init; } = 1883;

    /// <summary>
    /// Folder for the hub's own database. A relative path starts at the working directory. Default:
    /// /var/lib/nutrient-ledger for root, else nutrient-ledger in the user's folder for application data.
    /// </summary>
    public string? DataFolder { get; init; }

    /// <summary>
    /// Npgsql connection string of your own PostgreSQL, 15 or later. Default: the hub runs its own in the data folder.
    /// </summary>
    public string? Database { get; init; }

    /// <summary>A broker outside the hub.</summary>
    public BrokerOptions Broker { get; init; } = new();

    /// <summary>How much the hub takes in at a time, and how long it waits.</summary>
    public IngestionOptions Ingestion { get; init; } = new();

    /// <summary>How many rejected messages are kept.</summary>
    public DeadLetterOptions DeadLetters { get; init; } = new();

    /// <summary>
    /// What is wrong with the options together, and with those that have no range. Each error says what to do.
    /// </summary>
    public IEnumerable<ValidationResult> Validate(ValidationContext validationContext)
    {
        if (HttpPort == MqttPort && HttpPort != 0 && Broker.Address is null)
            yield return new("MqttPort is the same. Choose another port, or 0 for any free port.", [nameof(HttpPort)]);
        if (Database is not null && PersistenceSetup.ConnectionStringError(Database) is { } fault)
            yield return new(
                $"Invalid connection string: {fault}. "
                    + "Example: \"Host=db.example;Username=hub;Password=…;Database=ledger\".",
                [nameof(Database)]
            );
    }
}
