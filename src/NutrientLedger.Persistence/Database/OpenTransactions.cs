using Npgsql;

namespace NutrientLedger.Persistence.Database;

/// <summary>A transaction that has written and is still open: its process, and its age in seconds.</summary>
public sealed record OpenTransaction(int ProcessId, string Application, double OpenSeconds);

/// <summary>
/// Finds transactions that delay posting. Events are posted in order of their numbers. Posting waits at a number that
/// an open transaction may still fill.
/// </summary>
public sealed class OpenTransactions(NpgsqlDataSource source)
{
    /// <summary>The writing transaction in this database that has been open longest, if longer than a time.</summary>
    public async Task<OpenTransaction?> LongestAsync(TimeSpan longerThan, CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            """
            select pid, application_name, extract(epoch from clock_timestamp() - xact_start)::float8 from pg_stat_activity
            where datname = current_database() and pid <> pg_backend_pid() and backend_xid is not null
                and clock_timestamp() - xact_start > $1
            order by xact_start limit 1
            """,
            longerThan
        );
        await using var row = await command.ExecuteReaderAsync(cancellationToken);
        return await row.ReadAsync(cancellationToken) ? new(row.GetInt32(0), row.GetString(1), row.GetDouble(2)) : null;
    }
}
