using NutrientLedger.Hub.Startup.Options;

namespace NutrientLedger.Hub.Startup;

/// <summary>The options that can also be set on the command line.</summary>
internal static class CommandLine
{
    /// <summary>The command-line name by the option's key.</summary>
    public static IReadOnlyDictionary<string, string> Names { get; } =
        new Dictionary<string, string>
        {
            [nameof(HubOptions.HttpPort)] = "--http-port",
            [nameof(HubOptions.MqttPort)] = "--mqtt-port",
            [nameof(HubOptions.DataFolder)] = "--data",
            [nameof(HubOptions.Database)] = "--database",
            [$"{nameof(HubOptions.Broker)}:{nameof(BrokerOptions.Address)}"] = "--broker",
            [$"{nameof(HubOptions.Broker)}:{nameof(BrokerOptions.Farms)}"] = "--farms",
            [$"{nameof(HubOptions.Broker)}:{nameof(BrokerOptions.ClientName)}"] = "--client-name",
        };
}
