using NutrientLedger.Journal;

namespace NutrientLedger.Ingestion.ExternalBrokers;

/// <summary>
/// An MQTT 5 broker outside the hub. No farms named means all farms. <c>ClientName</c> is the hub's name at the broker.
/// </summary>
public sealed record ExternalBroker(string Host, int Port, IReadOnlyList<string> Farms, string ClientName)
{
    /// <summary>The default name of a hub at a broker. Hubs that share work must use the same name.</summary>
    public const string DefaultClientName = "nutrient-ledger";

    /// <summary>
    /// One partition for each named farm, so that hubs can share them. Without names there is one partition.
    /// </summary>
    internal IReadOnlyList<Partition> Partitions =>
        Farms.Count == 0
            ? [new Partition(null, ClientName)]
            : [.. Farms.Distinct().Select(farm => new Partition(farm, $"{ClientName}-{farm}"))];
}

/// <summary>
/// What one connection receives: one farm, or all. Every hub uses the same client id for it, so that the next hub takes
/// over the broker's session.
/// </summary>
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
