using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Ingestion.ExternalBrokers;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.DeadLetters;

namespace NutrientLedger.Integration.Tests.Hub.Startup;

/// <summary>The options reach the projects that use them.</summary>
public sealed class HubHostTests
{
    private const string Nowhere = "Host=127.0.0.1;Port=1";

    [Theory]
    [InlineData("")]
    [InlineData("127.0.0.1:1884")]
    public async Task The_limits_of_the_configuration_are_those_of_the_hub(string broker)
    {
        List<(string, string)> options = [("Ingestion:CommitMessagesMax", "7"), ("DeadLetters:OpenPerDeviceMax", "3")];
        if (broker.Length > 0)
            options.AddRange([("Broker:Address", broker), ("Broker:Farms", "larch-hollow, far-field")]);

        await using var hub = InProcessHub.Compose(Nowhere, [.. options]);

        Assert.Equal(7, hub.Services.GetRequiredService<IngestionLimits>().CommitMessagesMax);
        Assert.Equal(3, hub.Services.GetRequiredService<DeadLetterLimits>().OpenPerDeviceMax);
        var external = hub.Services.GetService<ExternalBroker>();
        Assert.Equal(broker.Length > 0, external is not null);
        if (external is not null)
            Assert.Equal(["larch-hollow", "far-field"], external.Farms);
    }

    [Fact]
    public void A_host_without_a_database_or_with_a_wrong_limit_is_not_composed()
    {
        var none = new ConfigurationBuilder().Build();
        Assert.Contains("Database", Assert.Throws<HubStartException>(() => HubHost.Compose(none)).Message);
        var wrong = Assert.Throws<HubStartException>(() =>
            InProcessHub.Compose(Nowhere, ("DeadLetters:NewestKeptMax", "0"))
        );
        Assert.Contains("DeadLetters:NewestKeptMax is \"0\"", wrong.Message);
    }
}
