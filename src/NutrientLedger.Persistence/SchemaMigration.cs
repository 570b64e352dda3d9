using Marten;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Hubs;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.ReceivedRanges;
using NutrientLedger.Persistence.Statements;

namespace NutrientLedger.Persistence;

/// <summary>
/// Makes the schemas of an empty database, upgrades one of a version before, and rejects others, before anything
/// else uses it.
/// </summary>
public sealed partial class SchemaMigration(
    NpgsqlDataSource source,
    IDocumentStore store,
    TimeProvider time,
    ILogger<SchemaMigration> log
) : IHostedService
{
    /// <summary>
    /// The number of the schemas and of all stored names and forms. Raise it whenever one of them changes, one of
    /// Marten's included.
    /// </summary>
    public const int Version = 4;

    private static readonly TimeSpan RetryAfter = TimeSpan.FromSeconds(1);

    private const string VersionTable = $"""
        create table {MartenSetup.Schema}.schema_version (version int primary key);
        insert into {MartenSetup.Schema}.schema_version (version) values (@version);
        """;

    /// <summary>
    /// Makes everything in one transaction, or nothing. Safe beside a running hub and beside another migration: one
    /// waits for the other.
    /// </summary>
    /// <exception cref="SchemaVersionException">
    /// The database is of another version. Nothing in it was changed.
    /// </exception>
    public async Task RunAsync(CancellationToken cancellationToken)
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
        await connection.LockAsync(AdvisoryLock.SchemaMigration, cancellationToken);
        if (!await IsPresentAsync(connection, cancellationToken))
        {
            await CreateAsync(connection, cancellationToken);
            await transaction.CommitAsync(cancellationToken);
        }
        else if (await VersionAsync(connection, cancellationToken) is var found && found is >= 1 and < Version)
        {
            await SchemaUpgrade.RunAsync(connection, found.Value, cancellationToken);
            await transaction.CommitAsync(cancellationToken);
        }
        else if (found != Version)
            throw new SchemaVersionException(connection.Database, connection.Host!, found);
    }

    /// <summary>
    /// Does the same as the hub starts. A server that is away or not ready is waited for. Every other error ends the
    /// start: a wrong password, a database that does not exist.
    /// </summary>
    public async Task StartAsync(CancellationToken cancellationToken)
    {
        long? since = null;
        while (true)
            try
            {
                await RunAsync(cancellationToken);
                break;
            }
            catch (Exception e) when (DatabaseErrors.IsAway(e) && !cancellationToken.IsCancellationRequested)
            {
                if (since is null)
                    LogWaiting(log, DatabaseErrors.Describe(e));
                since ??= time.GetTimestamp();
                await Task.Delay(RetryAfter, time, cancellationToken);
            }
        if (since is { } begun)
            LogAnswers(log, Math.Round(time.GetElapsedTime(begun).TotalSeconds, 1));
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    private async Task CreateAsync(NpgsqlConnection connection, CancellationToken cancellationToken)
    {
        string[] definitions =
        [
            store.Storage.ToDatabaseScript(),
            JournalViews.Definition(LedgerProjection.Name),
            BatchSpanRows.Definition,
            FarmChainRows.Definition,
            "create schema ingestion",
            ReceivedRangeRows.Definition,
            DeviceRows.Definition,
            DeadLetterRows.Definition,
            DeadLetterOverflowRows.Definition,
            HubRows.Definition,
            LedgerTables.Definition,
            StatementRows.Definition,
            VersionTable.Replace("@version", $"{Version}", StringComparison.Ordinal),
        ];
        foreach (var definition in definitions)
            await connection.ExecuteAsync(definition, cancellationToken);
    }

    /// <summary>Whether the database holds any of the hub's schemas.</summary>
    private static async Task<bool> IsPresentAsync(NpgsqlConnection connection, CancellationToken cancellationToken)
    {
        await using var command = connection.Command(
            "select exists (select 1 from pg_namespace where nspname in ($1, 'ingestion', 'ledger'))",
            MartenSetup.Schema
        );
        return (bool)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    /// <summary>The version that made the schemas. Null when none is noted.</summary>
    private static async Task<int?> VersionAsync(NpgsqlConnection connection, CancellationToken cancellationToken)
    {
        await using var known = connection.Command(
            "select to_regclass($1) is not null",
            $"{MartenSetup.Schema}.schema_version"
        );
        if (await known.ExecuteScalarAsync(cancellationToken) is false)
            return null;
        await using var version = connection.Command($"select max(version) from {MartenSetup.Schema}.schema_version");
        return await version.ExecuteScalarAsync(cancellationToken) as int?;
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The database is unavailable: {Cause}. The hub waits for it and then starts. Check that PostgreSQL runs and that the connection string names it."
    )]
    private static partial void LogWaiting(ILogger log, string cause);

    [LoggerMessage(Level = LogLevel.Warning, Message = "The database answers after {Seconds} s. The hub starts.")]
    private static partial void LogAnswers(ILogger log, double seconds);
}
