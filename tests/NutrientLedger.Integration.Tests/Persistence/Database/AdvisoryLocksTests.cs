using Npgsql;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Integration.Tests.Persistence.Database;

/// <summary>Two farms never wait for each other.</summary>
public sealed class AdvisoryLocksTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task Each_farm_has_locks_of_its_own()
    {
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        await using var one = await source.OpenConnectionAsync();
        await using var other = await source.OpenConnectionAsync();
        foreach (
            var of in new Func<string, AdvisoryLock>[]
            {
                AdvisoryLock.ShadowGeneration,
                AdvisoryLock.FarmJournal,
                AdvisoryLock.Session,
            }
        )
        {
            Assert.True(await one.TryLockSessionAsync(of("north"), CancellationToken.None));
            Assert.False(await other.TryLockSessionAsync(of("north"), CancellationToken.None));
            Assert.True(await other.TryLockSessionAsync(of("south"), CancellationToken.None));
        }
    }
}
