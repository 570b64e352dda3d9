using System.ComponentModel.DataAnnotations;
using NutrientLedger.Ingestion.ExternalBrokers;
using NutrientLedger.Journal;

namespace NutrientLedger.Hub.Startup.Options;

/// <summary>An external broker, which several hubs may share.</summary>
internal sealed class BrokerOptions : IValidatableObject
{
    private const int ClientNameLengthMax = 80;

    /// <summary>
    /// HOST:PORT of an MQTT 5 broker, for example 127.0.0.1:1884. Default: the hub runs its own broker.
    /// </summary>
    public string? Address { get; init; }

    /// <summary>Farm ids, separated by commas; each is a partition. Default: all farms in one partition.</summary>
    public string? Farms { get; init; }

    /// <summary>
    /// MQTT client name, 1 to 80 characters. Hubs that share work use the same. Default: nutrient-ledger.
    /// </summary>
    public string? ClientName { get; init; }

    /// <summary>The external broker; null when the hub runs its own. Valid options only.</summary>
    public ExternalBroker? ToBroker() =>
        Uri is { } uri ? new(uri.Host, uri.Port, [.. FarmIds], ClientName ?? ExternalBroker.DefaultClientName) : null;

    /// <summary>The errors; each says what to do.</summary>
    public IEnumerable<ValidationResult> Validate(ValidationContext validationContext)
    {
        const string needsAddress = "It needs Broker:Address (--broker). Set that too, or leave this out.";
        if (Address is not null && Uri is null)
            yield return new("Write HOST:PORT, for example 127.0.0.1:1884.", [nameof(Address)]);
        if (Farms is not null && Address is null)
            yield return new(needsAddress, [nameof(Farms)]);
        else if (Farms is not null && FarmIds.Length == 0)
            yield return new("Leave it out for all farms.", [nameof(Farms)]);
        foreach (var wrong in FarmIds.Where(id => !GivenId.IsValid(id)))
            yield return new($"\"{wrong}\" is not a farm id: use 1 to 40 of a-z, 0-9 and -.", [nameof(Farms)]);
        if (ClientName is not null && Address is null)
            yield return new(needsAddress, [nameof(ClientName)]);
        else if (ClientName is { Length: > ClientNameLengthMax })
            yield return new($"Use 1 to {ClientNameLengthMax} characters.", [nameof(ClientName)]);
    }

    private string[] FarmIds =>
        Farms?.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries) ?? [];

    private Uri? Uri =>
        Address is { } given
        && Uri.TryCreate(
            given.Contains("://", StringComparison.Ordinal) ? given : $"mqtt://{given}",
            UriKind.Absolute,
            out var uri
        )
        && uri is { Scheme: "mqtt", Host.Length: > 0, Port: > 0, PathAndQuery: "" or "/", UserInfo: "" }
            ? uri
            : null;
}
