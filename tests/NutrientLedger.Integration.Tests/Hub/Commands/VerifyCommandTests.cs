using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Hub.Commands;

/// <summary>The output of the command that verifies a farm's records.</summary>
public sealed class VerifyCommandTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task Verified_records_are_counted_with_singular_and_plural()
    {
        await database.EmptyAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 10));
        await store.PostedAsync();

        var (code, output) = await VerifyAsync();
        Assert.Equal(0, code);
        Assert.Contains(
            "alder-bank: 8 events in 2 streams, 1 ledger line, 1 coverage tile, 0 level hours, 0 statements checked.",
            output,
            StringComparison.Ordinal
        );

        await database.RunAsync("update ledger.line set volume = volume + 1");
        (code, output) = await VerifyAsync();
        Assert.Equal(1, code);
        Assert.Contains("1 finding. Do not change the database", output, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_farm_whose_configuration_is_gone_is_verified_all_the_same()
    {
        await database.EmptyAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 10));
        await store.PostedAsync();
        await database.RunAsync(
            """
            delete from journal.mt_events where stream_id = 'configuration';
            delete from journal.mt_streams where id = 'configuration';
            """
        );

        var (code, output) = await VerifyAsync();

        Assert.Equal(1, code);
        Assert.Contains("the farm's configuration is gone", output, StringComparison.Ordinal);
    }

    private async Task<(int Code, string Output)> VerifyAsync()
    {
        await using var hub = HubProcess.Start(["verify", "--database", database.ConnectionString]);
        var code = await hub.EndAsync();
        // The console wraps lines.
        return (code, hub.Output.ReplaceLineEndings(" "));
    }
}
