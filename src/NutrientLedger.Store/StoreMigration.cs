using JasperFx;
using Marten;
using Microsoft.Extensions.Hosting;
using Npgsql;

namespace NutrientLedger.Store;

/// <summary>Brings the database to the shape this version needs, before anything else of the store runs.</summary>
public sealed class StoreMigration(NpgsqlDataSource source, IDocumentStore store) : IHostedService
{
    /// <summary>Makes what is missing; safe beside a running hub and beside another migration, because one waits for the other.</summary>
    public async Task RunAsync(CancellationToken cancellationToken)
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var turn = await connection.BeginTransactionAsync(cancellationToken);
        await connection.RunAsync("select pg_advisory_xact_lock(hashtext('store migration'))", cancellationToken);
        await store.Storage.ApplyAllConfiguredChangesToDatabaseAsync(AutoCreate.CreateOrUpdate);
        await connection.RunAsync(IntakeTables.Definition, cancellationToken);
        await connection.RunAsync(RefusedTables.Definition, cancellationToken);
        await connection.RunAsync(LedgerTables.Definition, cancellationToken);
        await connection.RunAsync(StatementTables.Definition, cancellationToken);
        await turn.CommitAsync(cancellationToken);
    }

    public Task StartAsync(CancellationToken cancellationToken) => RunAsync(cancellationToken);

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;
}
