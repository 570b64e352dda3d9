using System.Collections.Concurrent;
using System.Diagnostics.Metrics;
using NutrientLedger.Integration.Tests.Farms;

namespace NutrientLedger.Integration.Tests.Ingestion.Monitoring;

public sealed class ResultCountTests
{
    [Fact]
    public async Task Every_message_is_counted_under_its_result()
    {
        await using var host = await IngestionTestHost.StartAsync();
        var counted = new ConcurrentDictionary<string, long>();
        using var listener = new MeterListener();
        listener.InstrumentPublished = (instrument, meters) =>
        {
            if (instrument.Name == "ingestion.messages" && instrument.Meter.Scope == host.Meters)
                meters.EnableMeasurementEvents(instrument);
        };
        listener.SetMeasurementEventCallback<long>(
            (_, count, tags, _) => counted.AddOrUpdate((string)tags[0].Value!, count, (_, before) => before + count)
        );
        listener.Start();
        using var device = await host.DeviceAsync();

        await device.PublishLevelAsync(1);
        await device.PublishLevelAsync(2);
        await device.PublishAsync(Messages.StoreTopic, "[]"u8.ToArray());
        await device.PublishAsync("elsewhere", "[]"u8.ToArray());

        Assert.Equal(new Dictionary<string, long> { ["stored"] = 2, ["rejected"] = 2 }, counted.ToDictionary());
    }
}
