using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Configuration;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Hub.Startup.Options;
using Serilog.Events;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>The whole hub in this process, silent, on the given database and on any free ports.</summary>
internal static class InProcessHub
{
    public static WebApplication Compose(string connectionString, params (string Key, string Value)[] options) =>
        HubHost.Compose(
            new ConfigurationBuilder()
                .AddInMemoryCollection(
                    new Dictionary<string, string?>(
                        options.Select(option => KeyValuePair.Create(option.Key, (string?)option.Value))
                    )
                    {
                        [nameof(HubOptions.Database)] = connectionString,
                        [nameof(HubOptions.HttpPort)] = "0",
                        [nameof(HubOptions.MqttPort)] = "0",
                    }
                )
                .Build(),
            LogEventLevel.Fatal
        );
}
