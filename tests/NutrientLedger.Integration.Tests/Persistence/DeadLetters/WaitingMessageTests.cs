using System.Text;
using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Persistence.DeadLetters;

/// <summary>Sound messages of farms that are not registered: kept up to limits, and none of them dropped.</summary>
public sealed class WaitingMessageTests(TestDatabase database) : IClassFixture<TestDatabase>, IAsyncLifetime
{
    private static readonly DeadLetterLimits Limits = new()
    {
        WaitingPerDeviceMax = 3,
        WaitingPerFarmMax = 5,
        WaitingMax = 7,
    };

    private PersistenceTestHost store = null!;

    public async Task InitializeAsync()
    {
        if (database.ConnectionString.Length == 0)
            return;
        await database.EmptyAsync();
        store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            configure: services => services.AddSingleton(Limits)
        );
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
    }

    public async Task DisposeAsync()
    {
        if (store is not null)
            await store.DisposeAsync();
    }

    [DatabaseFact]
    public async Task Each_limit_turns_away_what_is_beyond_it_and_keeps_the_rest()
    {
        await AppendAsync(kept: 3, "latecomer", "a", "3 messages of the device \"a\" wait");
        await AppendAsync(kept: 2, "latecomer", "b", "and 5 messages wait");
        await AppendAsync(kept: 2, "other", "a", "7 messages of all farms wait");
        await AppendAsync(kept: 0, "third", "a", "7 messages of all farms wait");

        // The kept ones are known, so they are acknowledged again.
        await AppendAsync(kept: 3, "latecomer", "a", "3 messages of the device \"a\" wait");
        var listed = await store.DeadLetters.ListAsync(new(null, null, null, 100), CancellationToken.None);
        Assert.Equal(7, listed.Count);
        Assert.Equal(
            [2L, 2L, 2L],
            listed.Where(one => one.Topic.Contains("latecomer/a")).Select(one => one.Occurrences)
        );
        Assert.Empty(await store.DeadLetters.OverflowAsync(null, CancellationToken.None));
    }

    [DatabaseFact]
    public async Task Registered_farms_and_unreadable_messages_are_not_touched()
    {
        await AppendAsync(kept: 3, "latecomer", "a", "3 messages of the device \"a\" wait");
        await AppendAsync(kept: 2, "latecomer", "b", "and 5 messages wait");

        var results = await store.Writer.AppendAsync(
            [Sound("latecomer", "b", 9), Some.Message(1, 3)],
            [new("agri/v1/latecomer/a/spread", "nonsense"u8.ToArray(), "not JSON")],
            CancellationToken.None
        );

        Assert.IsType<AppendResult.OverQuota>(results[0]);
        Assert.Equal(new AppendResult.Stored(3, 0, 0), results[1]);
        var listed = await store.DeadLetters.ListAsync(new("latecomer", null, null, 100), CancellationToken.None);
        Assert.Equal("not JSON", listed[0].Reason);
        await store.RecordAsync("latecomer", Some.ConfigurationEvents());
        Assert.Equal([new AppendResult.Stored(1, 0, 0)], await store.AppendAsync(Sound("latecomer", "b", 9)));
    }

    /// <summary>Sends five messages and checks that the first ones are kept, and why the others are not.</summary>
    private async Task AppendAsync(int kept, string farm, string equipment, string limit)
    {
        var results = await store.AppendAsync([.. Enumerable.Range(1, 5).Select(seq => Sound(farm, equipment, seq))]);
        Assert.All(results.Take(kept), result => Assert.IsType<AppendResult.Rejected>(result));
        Assert.All(
            results.Skip(kept),
            result => Assert.Contains(limit, Assert.IsType<AppendResult.OverQuota>(result).Reason)
        );
    }

    private static DecodedMessage Sound(string farm, string equipment, int seq) =>
        Some.Message(seq, seq, farm, equipment) with
        {
            Payload = Encoding.UTF8.GetBytes($"message {seq}"),
        };
}
