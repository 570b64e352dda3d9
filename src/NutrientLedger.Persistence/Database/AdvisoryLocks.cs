using Npgsql;

namespace NutrientLedger.Persistence.Database;

/// <summary>
/// A lock that PostgreSQL keeps for the hub, over all processes on one database. A transaction that takes several takes
/// those of farms first, in the ordinal order of the farms' ids.
/// </summary>
/// <param name="Name">What is locked.</param>
/// <param name="Of">Which one of its kind, or "" where there is only one.</param>
internal readonly record struct AdvisoryLock(string Name, string Of = "")
{
    /// <summary>Making the schemas, for a transaction.</summary>
    public static readonly AdvisoryLock SchemaMigration = new("schema migration");

    /// <summary>Writing the list of rejected messages, for a transaction.</summary>
    public static readonly AdvisoryLock DeadLetters = new("dead letters");

    /// <summary>Appending to the streams of a farm, for a transaction.</summary>
    public static AdvisoryLock FarmJournal(string farmId) => new("farm journal", farmId);

    /// <summary>Building a shadow generation of a farm, for a session.</summary>
    public static AdvisoryLock ShadowGeneration(string farmId) => new("shadow generation", farmId);

    /// <summary>Work that only one hub may do at a time, for a session. See <see cref="SessionLocks"/>.</summary>
    public static AdvisoryLock Session(string work) => new("session", work);
}

/// <summary>Takes and releases the locks.</summary>
internal static class AdvisoryLocks
{
    /// <summary>Waits for a lock. It is released when the transaction ends.</summary>
    public static Task LockAsync(
        this NpgsqlConnection connection,
        AdvisoryLock wanted,
        CancellationToken cancellationToken
    ) => connection.ExecuteAsync($"select {LockSql("$1", "$2")}", cancellationToken, wanted.Name, wanted.Of);

    /// <summary>The SQL expression that waits for a lock until the transaction ends.</summary>
    public static string LockSql(string name, string of) => $"pg_advisory_xact_lock(hashtext({name}), hashtext({of}))";

    /// <summary>Takes a lock for the session if nobody has it.</summary>
    public static async Task<bool> TryLockSessionAsync(
        this NpgsqlConnection connection,
        AdvisoryLock wanted,
        CancellationToken cancellationToken
    )
    {
        await using var take = connection.Command(
            "select pg_try_advisory_lock(hashtext($1), hashtext($2))",
            wanted.Name,
            wanted.Of
        );
        return await take.ExecuteScalarAsync(cancellationToken) is true;
    }

    /// <summary>Releases a lock of the session.</summary>
    /// <param name="connection">The session.</param>
    /// <param name="held">The lock.</param>
    /// <param name="secondsMax">How long the server may take to answer.</param>
    public static async Task UnlockSessionAsync(this NpgsqlConnection connection, AdvisoryLock held, int secondsMax)
    {
        await using var give = connection.Command(
            "select pg_advisory_unlock(hashtext($1), hashtext($2))",
            held.Name,
            held.Of
        );
        give.CommandTimeout = secondsMax;
        await give.ExecuteNonQueryAsync();
    }

    /// <summary>Releases all locks of the session.</summary>
    public static Task UnlockSessionAsync(this NpgsqlConnection connection, CancellationToken cancellationToken) =>
        connection.ExecuteAsync("select pg_advisory_unlock_all()", cancellationToken);
}
