using System.Text.RegularExpressions;
using NutrientLedger.Integration.Tests.Farms;

namespace NutrientLedger.Integration.Tests.Ingestion.Monitoring;

public sealed partial class LogTests
{
    [Fact]
    public async Task A_database_outage_is_logged_at_its_start_at_a_new_cause_and_at_its_end()
    {
        var log = new CollectedLog();
        await using var host = await IngestionTestHost.StartAsync(log: log);
        var tries = 0;
        host.Journal.Fault = (_, _) =>
            ++tries switch
            {
                1 or 2 or 4 => new IOException("no route"),
                3 or 5 => new IOException("starting up"),
                _ => null,
            };
        using var device = await host.DeviceAsync();

        await device.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous);
        await device.PublishLevelAsync(2).WaitAsync(IngestionTestHost.Generous);

        await IngestionTestHost.Until(() => log.Lines.Count >= 4);
        Assert.Collection(
            log.Lines,
            line => Assert.Matches("^Error: The database cannot be used: no route. ", line),
            line =>
                Assert.Matches(
                    "^Error: The database cannot be used for .* s now. The cause has changed: starting up$",
                    line
                ),
            line => Assert.Matches("^Warning: The database can be used again after .* s$", line),
            line => Assert.Matches("^Warning: Messages are committed again after 5 failed tries; 0 messages", line)
        );
    }

    [Fact]
    public async Task A_repeated_device_error_is_logged_once_a_minute()
    {
        var log = new CollectedLog();
        await using var host = await IngestionTestHost.StartAsync(log: log, clock: new StandingClock());
        using var device = await host.DeviceAsync();

        for (var i = 0; i < 30; i++)
            await device.PublishAsync($"elsewhere/{i}", "[]"u8.ToArray());

        var line = Assert.Single(log.Lines);
        Assert.Matches(Rejected(), line);
    }

    /// <summary>
    /// A clock that stands still, so that everything happens within the minute, however long the machine takes.
    /// </summary>
    private sealed class StandingClock : TimeProvider
    {
        public override long GetTimestamp() => 0;
    }

    [GeneratedRegex(
        "^Warning: Messages rejected from device gauge-1: 1. The last was on elsewhere/0: The topic is none of the hub's"
    )]
    private static partial Regex Rejected();
}
