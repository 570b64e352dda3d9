using Npgsql;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Persistence;
using NutrientLedger.Persistence.Postgres;

namespace NutrientLedger.Integration.Tests.Hub.Commands;

/// <summary>Commands on a data folder or a database from another version of the hub.</summary>
public sealed class OtherVersionTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task The_demo_rejects_its_database_of_another_version_and_starts_over_on_request()
    {
        var folder = Directory.CreateTempSubdirectory("nutrient-ledger-version-").FullName;
        TestServer.LetOthersPass(folder);
        try
        {
            await RunOnOwnServerAsync(folder, SchemaMigrationTests.EarlierForm);

            await using (var rejected = Demo(folder))
            {
                Assert.Equal(1, await rejected.EndAsync());
                var said = rejected.Output.ReplaceLineEndings(" ");
                Assert.Contains("was made by another version of the hub", said, StringComparison.Ordinal);
                Assert.Contains(
                    $"Use the data folder {folder} with the version that made it",
                    said,
                    StringComparison.Ordinal
                );
                Assert.Contains("\"demo --fresh\"", said, StringComparison.Ordinal);
            }
            await using (var verify = HubProcess.Start("verify", "larch-hollow", "--demo", "--data", folder))
            {
                Assert.Equal(1, await verify.EndAsync());
                Assert.Contains("\"demo --fresh\"", verify.Output, StringComparison.Ordinal);
            }
            await RunOnOwnServerAsync(folder, "select numbers from intake.seen; select shape from ledger.generation");

            await using var fresh = Demo(folder, "--fresh");
            await fresh.ListeningAsync();
            await fresh.SignalAsync("TERM");
            await fresh.EndAsync();
            await RunOnOwnServerAsync(folder, "select version from journal.schema_version");
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [DatabaseFact]
    public async Task A_named_database_of_another_version_is_rejected_with_what_to_do()
    {
        await database.RunAsync(SchemaMigrationTests.EarlierForm);
        await using var hub = HubProcess.Start(
            "run",
            "--database",
            database.ConnectionString,
            "--http-port",
            "0",
            "--mqtt-port",
            "0"
        );
        Assert.Equal(1, await hub.EndAsync());
        Assert.Contains(
            "was made by another version of the hub",
            hub.Output.ReplaceLineEndings(" "),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "name an empty database with --database",
            hub.Output.ReplaceLineEndings(" "),
            StringComparison.Ordinal
        );
    }

    private static HubProcess Demo(string folder, params string[] options) =>
        HubProcess.Start(["demo", "--data", folder, "--http-port", "0", "--mqtt-port", "0", .. options]);

    private static async Task RunOnOwnServerAsync(string folder, string sql)
    {
        await using var server = await PrivatePostgres.StartAsync(
            Path.Combine(folder, "demo", "postgres"),
            CancellationToken.None
        );
        await using var connection = new NpgsqlConnection(server.ConnectionString + ";Pooling=false");
        await connection.OpenAsync();
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync();
    }
}
