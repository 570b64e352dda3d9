using System.Diagnostics.Metrics;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Rebuild;

namespace NutrientLedger.Integration.Tests.Persistence.Rebuild;

/// <summary>What tests of corrections ask of a store.</summary>
internal static class CorrectedStore
{
    /// <summary>
    /// Waits until the correction has deleted the rows before it. Then replays everything to compare.
    /// </summary>
    public static async Task AssertReplayedAsync(PersistenceTestHost store)
    {
        await store.PostedAsync();
        RebuildReport? replay = null;
        await PersistenceTestHost.UntilAsync(async () =>
        {
            try
            {
                replay = await store.Replay.RunAsync(Some.Farm, switchOver: false, null, CancellationToken.None);
                return true;
            }
            catch (RebuildUnavailableException)
            {
                return false;
            }
        });
        Assert.Empty(replay!.Differences);
        Assert.True(replay is { Lines: > 0, Tiles: > 0, LevelHours: > 0 });
    }

    /// <summary>Hears how many batches each correction read.</summary>
    public static MeterListener Listen(PersistenceTestHost store, Action<long> batchesRead)
    {
        var listener = new MeterListener
        {
            InstrumentPublished = (instrument, meters) =>
            {
                if (instrument.Name == "persistence.rebuild.batches" && instrument.Meter.Scope == store.Meters)
                    meters.EnableMeasurementEvents(instrument);
            },
        };
        listener.SetMeasurementEventCallback<long>((_, batches, _, _) => batchesRead(batches));
        listener.Start();
        return listener;
    }
}
