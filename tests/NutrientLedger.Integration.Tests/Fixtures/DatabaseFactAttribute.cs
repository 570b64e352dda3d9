namespace NutrientLedger.Integration.Tests.Fixtures;

/// <summary>A test that needs PostgreSQL. Without it the test is skipped locally and fails on a build server.</summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class DatabaseFactAttribute : FactAttribute
{
    public DatabaseFactAttribute()
    {
        if (!TestServer.IsToBeHad && !TestServer.NothingMayBeSkipped)
            Skip = "No PostgreSQL: install its server programs, or name a server in NUTRIENT_LEDGER_TEST_POSTGRES.";
    }
}
