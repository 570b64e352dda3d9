using System.Text;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Queries;

namespace NutrientLedger.Integration.Tests.Ingestion;

public sealed class PreviousBootTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Farm = "quarry-farm";

    [DatabaseFact]
    public async Task The_end_of_a_boot_that_never_came_is_named_by_the_first_message_of_the_next()
    {
        await using var host = await IngestionTestHost.StartAsync(database: database.ConnectionString);
        var farm = new FarmRegistered(
            "Quarry Farm",
            "America/Chicago",
            10,
            1,
            new DateOnly(2025, 10, 1),
            CoverageGrid.At(430_000_000)
        );
        await host.Service<ConfigurationStore>().RecordAsync(Farm, 0, [farm], CancellationToken.None);
        using var device = await host.DeviceAsync();
        await device.PublishLevelAsync(1);
        var first =
            """[{"bt":1790000100,"n":"boot","v":2},{"n":"seq","v":1},{"n":"lastboot","v":1},{"n":"lastseq","v":3},{"n":"level","u":"m","v":2.5}]""";
        await device.PublishAsync(Messages.StoreTopic, Encoding.UTF8.GetBytes(first));
        Assert.Equal([new(1, 2, 3)], await GapsAsync(host));

        await device.PublishLevelAsync(2);
        Assert.Equal([new(1, 3, 3)], await GapsAsync(host));
        await device.PublishLevelAsync(3);
        Assert.Empty(await GapsAsync(host));
    }

    private static async Task<IEnumerable<MissingNumbers>> GapsAsync(IngestionTestHost host) =>
        Assert.Single(await host.Service<DeviceReader>().DevicesAsync(Farm, default)).Gaps;
}
