using JasperFx;
using Marten;
using Microsoft.Extensions.Hosting;
using Npgsql;

namespace NutrientLedger.Store;

/// <summary>Brings the database to the shape this version needs, before anything else of the store runs.</summary>
public sealed class StoreMigration(NpgsqlDataSource source, IDocumentStore store) : IHostedService
{
    /// <summary>Makes what is missing; safe beside a running hub and beside another migration.</summary>
    public async Task RunAsync(CancellationToken cancellationToken)
    {
        await store.Storage.ApplyAllConfiguredChangesToDatabaseAsync(AutoCreate.CreateOrUpdate);
        await IntakeTables.MigrateAsync(source, cancellationToken);
        await LedgerTables.MigrateAsync(source, cancellationToken);
    }

    public Task StartAsync(CancellationToken cancellationToken) => RunAsync(cancellationToken);

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;
}
