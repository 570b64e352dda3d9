using Npgsql;

namespace NutrientLedger.Persistence.Database;

/// <summary>
/// Locks that one session holds against all others of the database. They guard work that only one hub may do at a time.
/// </summary>
public sealed class SessionLocks(NpgsqlDataSource source)
{
    /// <summary>Takes the lock if nobody has it. Null otherwise.</summary>
    public async Task<SessionLock?> TryTakeAsync(string name, CancellationToken cancellationToken)
    {
        var connection = await source.OpenConnectionAsync(cancellationToken);
        try
        {
            // A hub whose machine vanished must not keep the lock for the hours that TCP waits by itself.
            await connection.ExecuteAsync(
                "set tcp_keepalives_idle = 5; set tcp_keepalives_interval = 2; set tcp_keepalives_count = 3",
                cancellationToken
            );
            var wanted = AdvisoryLock.Session(name);
            if (await connection.TryLockSessionAsync(wanted, cancellationToken))
                return new(connection, wanted);
            await connection.ExecuteAsync(SessionLock.Reset, cancellationToken);
        }
        catch
        {
            await connection.DisposeAsync();
            throw;
        }
        await connection.DisposeAsync();
        return null;
    }
}

/// <summary>A lock that is held while its own connection lives. Disposing releases it.</summary>
public sealed class SessionLock : IAsyncDisposable
{
    /// <summary>Takes back what <see cref="SessionLocks"/> sets, because the connection returns to the pool.</summary>
    internal const string Reset =
        "reset tcp_keepalives_idle; reset tcp_keepalives_interval; reset tcp_keepalives_count";

    private const int ReplySecondsMax = 5;

    private static readonly TimeSpan CheckInterval = TimeSpan.FromSeconds(2);

    private readonly NpgsqlConnection connection;
    private readonly AdvisoryLock held;
    private readonly CancellationTokenSource lost = new();
    private readonly CancellationTokenSource closing = new();
    private readonly Task watching;

    internal SessionLock(NpgsqlConnection connection, AdvisoryLock held)
    {
        (this.connection, this.held) = (connection, held);
        watching = Task.Run(WatchAsync);
    }

    /// <summary>Cancelled at once when the connection is lost, and the lock with it.</summary>
    public CancellationToken Lost => lost.Token;

    public async ValueTask DisposeAsync()
    {
        await closing.CancelAsync();
        await watching;
        if (!lost.IsCancellationRequested)
            try
            {
                await connection.UnlockSessionAsync(held, ReplySecondsMax);
                await connection.ExecuteAsync(Reset, CancellationToken.None);
            }
            catch (NpgsqlException)
            {
                // A broken connection has released the lock already.
            }
        await connection.DisposeAsync();
        lost.Dispose();
        closing.Dispose();
    }

    private async Task WatchAsync()
    {
        try
        {
            while (true)
            {
                // Waiting for a notification detects a closed connection at once. The query detects a silent one.
                await connection.WaitAsync(CheckInterval, closing.Token);
                await using var look = connection.Command("select 1");
                look.CommandTimeout = ReplySecondsMax;
                await look.ExecuteScalarAsync(closing.Token);
            }
        }
        catch (OperationCanceledException) when (closing.IsCancellationRequested) { }
        catch (Exception)
        {
            await lost.CancelAsync();
        }
    }
}
