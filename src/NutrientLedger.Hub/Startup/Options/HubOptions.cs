using System.ComponentModel.DataAnnotations;
using NutrientLedger.Persistence;

namespace NutrientLedger.Hub.Startup.Options;

/// <summary>
/// The hub's options, from the settings file, the environment and the command line; the last one wins. The guide
/// options.md lists them all.
/// </summary>
internal sealed class HubOptions : IValidatableObject
{
    /// <summary>Port of the page and the API on 127.0.0.1, 0 to 65535. 0 takes any free port. Default: 5080.</summary>
    [Range(0, 65535)]
    public int HttpPort { get; init; } = 5080;

    /// <summary>
    /// Port of the hub's own MQTT broker on 127.0.0.1, 0 to 65535. 0 takes any free port. Default: 1883, the port
    /// registered for MQTT. Unused with <see cref="BrokerOptions.Address"/>.
    /// </summary>
    [Range(0, 65535)]
    public int MqttPort { get; init; } = 1883;

    /// <summary>
    /// Folder for the hub's own database. A relative path starts at the working directory. Default:
    /// /var/lib/nutrient-ledger for root, else nutrient-ledger in the user's folder for application data.
    /// </summary>
    public string? DataFolder { get; init; }

    /// <summary>
    /// Npgsql connection string of your own PostgreSQL, 15 or later. Default: the hub's own server in the data folder.
    /// </summary>
    public string? Database { get; init; }

    /// <summary>The external broker.</summary>
    public BrokerOptions Broker { get; init; } = new();

    /// <summary>Limits and waiting times of ingestion.</summary>
    public IngestionOptions Ingestion { get; init; } = new();

    /// <summary>How many dead letters are kept.</summary>
    public DeadLetterOptions DeadLetters { get; init; } = new();

    /// <summary>Errors of options together, and of options without a range. Each says what to do.</summary>
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
