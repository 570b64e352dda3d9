using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Ingestion;
using NutrientLedger.Persistence;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Persistence.Verification;
using NutrientLedger.Web.Commands;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>The farm of a faulty device, and the checks on it afterwards.</summary>
internal static class FaultyFarm
{
    public const string Topic = $"agri/v1/{Farm}/drag-line/spread";

    private const string Farm = "faulty";

    /// <summary>
    /// Checks that everything acknowledged is stored once and posted, that every corrupt message is a dead letter, and
    /// that the audit finds nothing.
    /// </summary>
    public static async Task AssertWholeAsync(string connectionString, FaultyDevice device, ITestOutputHelper output)
    {
        await using var services = PostedLedger.Services(connectionString);
        var devices = services.GetRequiredService<DeviceReader>();
        await IngestionTestHost.Until(async () =>
            await devices.PositionsAsync(CancellationToken.None) is var (journal, posted) && posted >= journal
        );
        var state = Assert.Single(await devices.DevicesAsync(Farm, CancellationToken.None));
        output.WriteLine(
            $"{device.ReadingsAcknowledged} readings acknowledged, {state.ReadingsStored} stored, {state.ReadingsDuplicate} known already, "
                + $"{device.CorruptRejected.Sum()} messages rejected of {device.CorruptRejected.Count(count => count > 0)} kinds"
        );
        Assert.Equal(device.ReadingsAcknowledged, state.ReadingsStored);
        Assert.Empty(state.Gaps);
        Assert.InRange(state.ReadingsDuplicate, device.SentTwice * CorruptMessages.ReadingsEach, long.MaxValue);

        var list = services.GetRequiredService<DeadLetterQueue>();
        var rejected = await list.ListAsync(new(Farm, null, null, 1000), CancellationToken.None);
        Assert.InRange(rejected.Sum(one => one.Occurrences), device.CorruptRejected.Sum(), long.MaxValue);
        Assert.Empty(await list.OverflowAsync(Farm, CancellationToken.None));
        var audit = await services.GetRequiredService<LedgerAudit>().RunAsync(Farm, CancellationToken.None);
        Assert.Empty(audit.Findings);
        var lines = await services
            .GetRequiredService<LedgerReader>()
            .LinesAsync(Farm, null, null, CancellationToken.None);
        // The meter counts 10 L a second from the first reading to the last one.
        Assert.Equal(
            (device.ReadingsAcknowledged - 1) * 10_000,
            (long)lines.Lines.Values.Aggregate((Int128)0, (sum, line) => sum + line.VolumeMillilitres)
        );
    }

    public static async Task ImportAsync(string connectionString)
    {
        await using var services = PostedLedger.Services(connectionString);
        await services.GetRequiredService<SchemaMigration>().RunAsync(CancellationToken.None);
        using var farm = new SmallFarm(Farm);
        var outcome = await new FarmImport(services.GetRequiredService<ConfigurationStore>()).ImportAsync(
            farm.Path,
            default
        );
        Assert.Empty(outcome.Problems);
    }
}
