using NutrientLedger.Journal;

namespace NutrientLedger.Ingestion.ExternalBrokers;

/// <summary>An MQTT 5 broker outside the hub, the farms heard there (none named means all), and the name the hub has with it.</summary>
public sealed record ExternalBroker(string Host, int Port, IReadOnlyList<string> Farms, string ClientName)
{
    /// <summary>The name hubs have with a broker unless told otherwise; hubs that share work must have the same.</summary>
    public const string UsualClientName = "nutrient-ledger";

    /// <summary>Each named farm is a partition of its own, so that hubs can share them; without names there is one.</summary>
    internal IReadOnlyList<Partition> Partitions =>
        Farms.Count == 0
            ? [new Partition(null, ClientName)]
            : [.. Farms.Distinct().Select(farm => new Partition(farm, $"{ClientName}-{farm}"))];
}

/// <summary>What one line takes in: a farm, or all. Whoever does it uses the same client id, so that the broker's session goes over.</summary>
internal sealed record Partition(string? FarmId, string ClientId)
{
    private static readonly string[] Streams =
    [
        .. Enum.GetNames<TelemetryStream>().Select(name => name.ToLowerInvariant()),
    ];

    public string Name => FarmId ?? "all farms";

    public IEnumerable<string> Filters => Streams.Select(stream => $"agri/v1/{FarmId ?? "+"}/+/{stream}");

    public bool Covers(string farmId) => FarmId is null || FarmId == farmId;
}
