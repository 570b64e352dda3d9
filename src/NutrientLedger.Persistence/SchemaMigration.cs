using JasperFx;
using Marten;
using Microsoft.Extensions.Hosting;
using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.ReceivedRanges;
using NutrientLedger.Persistence.Statements;

namespace NutrientLedger.Persistence;

/// <summary>Brings the database to the shape this version needs, before anything else of the store runs.</summary>
public sealed class SchemaMigration(NpgsqlDataSource source, IDocumentStore store) : IHostedService
{
    /// <summary>Makes what is missing; safe beside a running hub and beside another migration, because one waits for the other.</summary>
    public async Task RunAsync(CancellationToken cancellationToken)
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
        await connection.ExecuteAsync("select pg_advisory_xact_lock(hashtext('store migration'))", cancellationToken);
        await store.Storage.ApplyAllConfiguredChangesToDatabaseAsync(AutoCreate.CreateOrUpdate);
        await connection.ExecuteAsync(ReceivedRangeTables.Definition, cancellationToken);
        await connection.ExecuteAsync(DeadLetterTables.Definition, cancellationToken);
        await connection.ExecuteAsync(LedgerTables.Definition, cancellationToken);
        await connection.ExecuteAsync(StatementTables.Definition, cancellationToken);
        await transaction.CommitAsync(cancellationToken);
    }

    public Task StartAsync(CancellationToken cancellationToken) => RunAsync(cancellationToken);

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;
}
