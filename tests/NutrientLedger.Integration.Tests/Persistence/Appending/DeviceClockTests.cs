using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Persistence.Appending;

public sealed class DeviceClockTests(TestDatabase database) : IClassFixture<TestDatabase>, IAsyncLifetime
{
    /// <summary>
    /// Maximum of seconds from measuring to recording on a busy machine. Every wrong clock here is off by far more.
    /// </summary>
    private const int OnTheWayMax = 90;

    private PersistenceTestHost store = null!;

    public async Task InitializeAsync()
    {
        if (database.ConnectionString.Length == 0)
            return;
        await database.EmptyAsync();
        store = await PersistenceTestHost.StartAsync(database.ConnectionString, keepsLedgersCurrent: false);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
    }

    public async Task DisposeAsync()
    {
        if (store is not null)
            await store.DisposeAsync();
    }

    [DatabaseTheory]
    [InlineData(190)]
    [InlineData(4_000)]
    [InlineData(-120)]
    public async Task A_wrong_clock_is_found_from_live_messages(int aheadSeconds)
    {
        await store.AppendAsync(Level(1, aheadSeconds));
        await store.AppendAsync(Level(2, aheadSeconds));
        Assert.InRange((await AheadAsync())!.Value.TotalSeconds, aheadSeconds - OnTheWayMax, aheadSeconds);
    }

    [DatabaseFact]
    public async Task A_delayed_message_does_not_lower_the_clock_estimate()
    {
        await store.AppendAsync(Level(1, 0));
        await store.AppendAsync(Level(2, -3_600));
        Assert.InRange((await AheadAsync())!.Value.TotalSeconds, -OnTheWayMax, 0);
    }

    [DatabaseFact]
    public async Task A_backlog_and_an_old_recording_give_no_clock_estimate()
    {
        await store.AppendAsync(Level(5, -600));
        await store.AppendAsync(Level(1, -700));
        await store.AppendAsync(Level(6, -90_000));
        Assert.Null(await AheadAsync());
    }

    [DatabaseFact]
    public async Task A_corrected_clock_is_right_once_the_old_estimate_has_expired()
    {
        await store.AppendAsync(Level(1, 4_000));
        await database.RunAsync(
            "update ingestion.device set clock_lag_since = clock_lag_since - interval '11 minutes'"
        );
        await store.AppendAsync(Level(2, 0));
        Assert.InRange((await AheadAsync())!.Value.TotalSeconds, 4_000 - OnTheWayMax, 4_000);
        await database.RunAsync(
            "update ingestion.device set clock_lag_since = clock_lag_since - interval '11 minutes'"
        );
        await store.AppendAsync(Level(3, 0));
        Assert.InRange((await AheadAsync())!.Value.TotalSeconds, -OnTheWayMax, 0);
    }

    private async Task<TimeSpan?> AheadAsync() =>
        Assert.Single(await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None)).ClockAhead;

    private static DecodedMessage Level(long seq, int aheadSeconds)
    {
        var measured = DateTimeOffset.UtcNow.AddSeconds(aheadSeconds).ToUnixTimeMilliseconds();
        return new(
            Some.Farm,
            new StorageLevelMeasured(new(Some.Gauge, 1, seq, [new(measured, 3_000, 12_000)])),
            $"agri/v1/{Some.Farm}/{Some.Gauge}/store",
            new byte[] { 1 }
        );
    }
}
