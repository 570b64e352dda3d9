using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Persistence.Projections;

public sealed class ExactlyOnceTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const int Kills = 6;

    /// <summary>
    /// Hubs in their own processes post a backlog. They are killed one after the other, as by a power cut, while this
    /// process appends and records. The ledger still equals that of the journal.
    /// </summary>
    [DatabaseFact]
    public async Task Killing_the_hub_that_posts_loses_nothing_and_posts_nothing_twice()
    {
        await using var writer = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );
        await writer.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        using var enough = new CancellationTokenSource();
        var writing = Task.Run(() => WriteAsync(writer, enough.Token));
        for (var kill = 0; kill < Kills; kill++)
        {
            await using var hub = Hub();
            var (_, from) = await writer.Devices.PositionsAsync(CancellationToken.None);
            await PersistenceTestHost.UntilAsync(async () =>
                (await writer.Devices.PositionsAsync(CancellationToken.None)).Posted > from + 20
            );
            await hub.KillAsync();
        }
        await enough.CancelAsync();
        var written = await writing;

        await using (Hub())
        {
            await writer.PostedAsync();
            var report = await writer.AuditAsync();
            Assert.Empty(report.Findings);
            var lines = (await writer.ReadAsync()).Lines;
            // Every interval is 30 litres: one per pair of neighbours.
            Assert.Equal(
                (written - 1) * 30_000,
                lines.Values.Sum(line =>
                    line.VolumeMillilitres + line.DisengagedMillilitres + line.NotPlacedMillilitres
                )
            );
        }
    }

    private HubProcess Hub() =>
        HubProcess.Start("run", "--database", database.ConnectionString, "--http-port", "0", "--mqtt-port", "0");

    /// <summary>
    /// Appends small messages in twos, the later one first, and sometimes moves the field's edge. Returns the last
    /// number.
    /// </summary>
    private static async Task<long> WriteAsync(PersistenceTestHost writer, CancellationToken enough)
    {
        long last = 0;
        for (var batch = 1; !enough.IsCancellationRequested; batch++)
        {
            await writer.AppendAsync(Some.Message(last + 11, last + 20));
            await writer.AppendAsync(Some.Message(last + 1, last + 12));
            last += 20;
            if (batch % 100 == 0)
                await writer.RecordAsync(Some.Farm, Some.Redrawn(batch % 200 == 0 ? -950_100_000 : -949_999_500));
        }
        return last;
    }
}
