using Npgsql;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Integration.Tests.Persistence.Database;

public sealed class SessionLocksTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task A_lock_is_held_by_one_until_it_is_released()
    {
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        await using var other = NpgsqlDataSource.Create(database.ConnectionString);
        var held = await new SessionLocks(source).TryTakeAsync("north", CancellationToken.None);
        Assert.NotNull(held);
        Assert.Null(await new SessionLocks(other).TryTakeAsync("north", CancellationToken.None));
        await using (var south = await new SessionLocks(other).TryTakeAsync("south", CancellationToken.None))
            Assert.NotNull(south);

        await held.DisposeAsync();

        await using var taken = await new SessionLocks(other).TryTakeAsync("north", CancellationToken.None);
        Assert.NotNull(taken);
    }

    [DatabaseFact]
    public async Task A_lost_connection_reports_the_lost_lock_and_another_can_take_it()
    {
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var locks = new SessionLocks(source);
        await using var held = await locks.TryTakeAsync("west", CancellationToken.None);
        Assert.NotNull(held);
        var lost = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        using var registration = held.Lost.Register(lost.SetResult);

        await database.RunAsync(
            "select pg_terminate_backend(pid) from pg_locks where locktype = 'advisory' and database = (select oid from pg_database where datname = current_database())"
        );
        await lost.Task.WaitAsync(PersistenceTestHost.Patience);

        await using var taken = await locks.TryTakeAsync("west", CancellationToken.None);
        Assert.NotNull(taken);
    }
}
