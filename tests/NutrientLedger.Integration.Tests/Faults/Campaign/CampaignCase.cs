using System.Diagnostics;
using Microsoft.Extensions.DependencyInjection;
using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Persistence.Verification;

namespace NutrientLedger.Integration.Tests.Faults.Campaign;

/// <summary>
/// One case: a farm of its own whose device sends in parts, while hubs, connections and people do something else to it
/// in each part. Everything is chosen by the case's seed.
/// </summary>
internal sealed class CampaignCase(int seed, CampaignHubs hubs, string connectionString) : IAsyncDisposable
{
    private readonly Random random = new(seed);
    private readonly SmallFarm farm = new($"case-{seed}");
    private readonly ServiceProvider services = PostedLedger.Services(connectionString);
    private readonly List<string> faults = [];
    private readonly List<string> edits = [];

    /// <summary>Runs and checks the case. Returns its row of the log table.</summary>
    public async Task<string> RunAsync()
    {
        var watch = Stopwatch.StartNew();
        var device = new CampaignDevice(farm.Id, random);
        var edit = new CampaignEdits(farm, device, random, services);
        await edit.ImportFirstAsync();
        foreach (var part in device.Parts(random.Next(2, 5)))
        {
            var sending = device.SendAsync(hubs, part);
            var fault = FaultAsync();
            edits.Add(await edit.AnyAsync(hubs.Address(random.Next(2))));
            faults.Add(await fault);
            await sending;
        }
        await PostedAsync();
        await AssertStoredOnceAsync(device);
        var audit = await AskAsync(() => services.GetRequiredService<LedgerAudit>().RunAsync(farm.Id, default));
        Assert.True(audit.Findings.Count == 0, string.Join('\n', audit.Findings));
        return $"| {seed} | {device.Acknowledged.Count} | {device.SentTwice} | {device.CorruptSent} | {Said(faults)} | {Said(edits)} | 0 | 0 | {watch.Elapsed.TotalSeconds:0.0} |";
    }

    public async ValueTask DisposeAsync()
    {
        farm.Dispose();
        await services.DisposeAsync();
    }

    private static string Said(IEnumerable<string> what) => string.Join(", ", what.Where(one => one != "nothing"));

    private async Task<string> FaultAsync()
    {
        var hub = random.Next(2);
        switch (random.Next(10))
        {
            case 0:
                await hubs.KillAsync(hub);
                return "hub killed";
            case 1:
                await hubs.SuspendAsync(hub, TimeSpan.FromMilliseconds(random.Next(100, 1500)));
                return "hub suspended";
            case 2 or 3 or 4:
                await Task.Delay(random.Next(100));
                await hubs.CutConnectionsAsync();
                return "connections cut";
            default:
                return "nothing";
        }
    }

    /// <summary>Waits until everything is posted and no correction is pending.</summary>
    private Task PostedAsync() =>
        PersistenceTestHost.UntilAsync(() =>
            AskAsync(async () =>
            {
                var (journal, posted) = await services.GetRequiredService<DeviceReader>().PositionsAsync(default);
                if (posted < journal)
                    return false;
                var view = await services.GetRequiredService<LedgerReader>().ReadAsync(farm.Id, null, null, default);
                return !view.IsBeingCorrected;
            })
        );

    /// <summary>
    /// Reads the journal's events alone: every acknowledged reading is there with its values, and none is there twice.
    /// </summary>
    private async Task AssertStoredOnceAsync(CampaignDevice device)
    {
        var stored = new Dictionary<(long Boot, long Seq), SpreadReading>();
        await using var source = NpgsqlDataSource.Create(connectionString);
        await using var command = source.CreateCommand("select type, body from journal.event where farm = $1");
        command.Parameters.Add(new() { Value = farm.Id });
        await using (var rows = await command.ExecuteReaderAsync())
            while (await rows.ReadAsync())
                if (
                    EventCodec.Decode(rows.GetString(0), rows.GetFieldValue<byte[]>(1)) is SpreadingMeasured
                    {
                        Batch: var batch
                    }
                )
                    foreach (var (i, reading) in batch.Readings.Index())
                        Assert.True(
                            stored.TryAdd((batch.Boot, batch.FirstSeq + i), reading),
                            $"Reading {batch.FirstSeq + i} of boot {batch.Boot} is stored twice."
                        );
        Assert.Equal(device.Acknowledged.OrderBy(one => one.Key), stored.OrderBy(one => one.Key));
        var rejected = await services
            .GetRequiredService<DeadLetterQueue>()
            .ListAsync(new(farm.Id, null, null, 1000), CancellationToken.None);
        Assert.True(device.CorruptSent == 0 || rejected.Count > 0, "Corrupt messages were sent and none was kept.");
    }

    /// <summary>A query may get a connection that was cut while idle; it is asked again.</summary>
    private static async Task<TAnswer> AskAsync<TAnswer>(Func<Task<TAnswer>> question)
    {
        while (true)
            try
            {
                return await question();
            }
            catch (NpgsqlException e) when (e.IsTransient) { }
    }
}
