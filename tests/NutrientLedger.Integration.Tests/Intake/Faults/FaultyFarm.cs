using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Integration.Tests.Demo;
using NutrientLedger.Integration.Tests.Office;
using NutrientLedger.Office.Import;
using NutrientLedger.Store;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Intake.Faults;

/// <summary>The farm to which a faulty sender sends, and what must be true of it afterwards.</summary>
internal static class FaultyFarm
{
    public const string Topic = $"agri/v1/{Farm}/drag-line/spread";

    private const string Farm = "faulty";

    /// <summary>Everything acknowledged is stored once and posted, everything spoilt is in the refused list, and seals and figures are sound.</summary>
    public static async Task AssertWholeAsync(string connectionString, FaultySender sender, ITestOutputHelper output)
    {
        await using var services = PostedLedger.Services(connectionString);
        var devices = services.GetRequiredService<DeviceReader>();
        await IntakeHost.Until(async () =>
            await devices.PositionsAsync(CancellationToken.None) is var (journal, posted) && posted >= journal
        );
        var device = Assert.Single(await devices.DevicesAsync(Farm, CancellationToken.None));
        output.WriteLine(
            $"{sender.ReadingsAcknowledged} readings acknowledged, {device.ReadingsStored} stored, {device.ReadingsDuplicate} known already, "
                + $"{sender.SpoiltRefused.Sum()} messages refused of {sender.SpoiltRefused.Count(count => count > 0)} kinds"
        );
        Assert.Equal(sender.ReadingsAcknowledged, device.ReadingsStored);
        Assert.Empty(device.Gaps);
        Assert.InRange(device.ReadingsDuplicate, sender.SentTwice * CorruptMessages.ReadingsEach, long.MaxValue);

        var list = services.GetRequiredService<RefusedList>();
        var refused = await list.ListAsync(new(Farm, null, null, 1000), CancellationToken.None);
        Assert.InRange(refused.Sum(one => one.Times), sender.SpoiltRefused.Sum(), long.MaxValue);
        Assert.Empty(await list.NotKeptAsync(Farm, CancellationToken.None));
        var audit = await services.GetRequiredService<LedgerAudit>().RunAsync(Farm, CancellationToken.None);
        Assert.Empty(audit.Findings);
        var lines = await services
            .GetRequiredService<LedgerReader>()
            .LinesAsync(Farm, null, null, CancellationToken.None);
        // The meter counts 10 L a second from the first reading to the last one.
        Assert.Equal(
            (sender.ReadingsAcknowledged - 1) * 10_000,
            (long)lines.Lines.Values.Aggregate((Int128)0, (sum, line) => sum + line.VolumeMillilitres)
        );
    }

    public static async Task ImportAsync(string connectionString)
    {
        await using var services = PostedLedger.Services(connectionString);
        await services.GetRequiredService<StoreMigration>().RunAsync(CancellationToken.None);
        using var farm = new SmallFarm(Farm);
        var outcome = await new FarmImport(services.GetRequiredService<RegisterStore>()).ImportAsync(
            farm.Path,
            default
        );
        Assert.Empty(outcome.Problems);
    }
}
