using NutrientLedger.Hub.Startup.Options;
using NutrientLedger.Persistence;
using NutrientLedger.Persistence.Postgres;

namespace NutrientLedger.Hub.Startup;

/// <summary>The database a command works on: the given one, or the hub's own server, started or joined.</summary>
internal sealed class HubDatabase : IAsyncDisposable
{
    /// <summary>Folder of the hub's own database, relative to the data folder.</summary>
    public const string Own = "postgres";

    private readonly string advice;

    private HubDatabase(string connectionString, PrivatePostgres? own, string advice)
    {
        ConnectionString = connectionString;
        (Server, this.advice) = (own, advice);
    }

    public string ConnectionString { get; }

    /// <summary>Whether the hub runs the database server itself.</summary>
    public bool IsOwn => Server is not null;

    /// <summary>The server that the hub runs itself, or null.</summary>
    public PrivatePostgres? Server { get; }

    /// <summary>
    /// Uses the given connection string. Without one, starts the hub's own PostgreSQL in a subfolder of the data
    /// folder.
    /// </summary>
    public static async Task<HubDatabase> OpenAsync(
        HubOptions options,
        string subfolder,
        CancellationToken cancellationToken
    )
    {
        if (options.Database is { } given)
            return new(
                given,
                null,
                "Use the version that made it, for example to export its events, or name an empty database with --database."
            );
        var folder = DataFolder.PathOf(options);
        var own = await PrivatePostgres.StartAsync(Path.Combine(folder, subfolder), cancellationToken);
        var startOver = subfolder == DemoFolder.Database ? "start the demo over with \"demo --fresh\", " : "";
        return new(
            own.ConnectionString,
            own,
            $"Use the data folder {folder} with the version that made it, for example to export its "
                + $"events, {startOver}or choose another folder with --data."
        );
    }

    /// <summary>Starts a hub on this database.</summary>
    /// <exception cref="HubStartException">Another version made the database; the message says what to do.</exception>
    public Task StartAsync(WebApplication app, CancellationToken cancellationToken) =>
        AdviseAsync(() => app.StartAsync(cancellationToken));

    /// <summary>Persistence services for a command that only queries or records. Migrates the schema first.</summary>
    /// <exception cref="HubStartException">Another version made the database; the message says what to do.</exception>
    public async Task<ServiceProvider> ServicesAsync(CancellationToken cancellationToken)
    {
        var services = new ServiceCollection()
            .AddLogging()
            .AddSingleton(TimeProvider.System)
            .AddPersistence(ConnectionString, keepsLedgersCurrent: false)
            .BuildServiceProvider();
        await AdviseAsync(() => services.GetRequiredService<SchemaMigration>().RunAsync(cancellationToken));
        return services;
    }

    private async Task AdviseAsync(Func<Task> start)
    {
        try
        {
            await start();
        }
        catch (SchemaVersionException error)
        {
            throw new HubStartException($"{error.Message} {advice}");
        }
    }

    public ValueTask DisposeAsync() => Server?.DisposeAsync() ?? ValueTask.CompletedTask;
}
