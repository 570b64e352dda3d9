using Marten.Events.Daemon.Coordination;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using Npgsql;

namespace NutrientLedger.Store;

/// <summary>
/// Whether the database answers and ledgers are being kept current, by this hub or another, and how far they are behind.
/// </summary>
public sealed class StoreHealth(
    DeviceReader positions,
    IProjectionCoordinator projections,
    NpgsqlDataSource source,
    OpenTransactions transactions,
    TimeProvider time
) : IHealthCheck
{
    /// <summary>Posting takes milliseconds, a farm posted anew some seconds; what waits longer than this waits for nobody.</summary>
    private static readonly TimeSpan WaitingMax = TimeSpan.FromMinutes(2);

    /// <summary>An append takes milliseconds; posting a farm anew, which holds no number back, some seconds.</summary>
    private static readonly TimeSpan OpenMax = TimeSpan.FromSeconds(10);

    public async Task<HealthCheckResult> CheckHealthAsync(
        HealthCheckContext context,
        CancellationToken cancellationToken = default
    )
    {
        try
        {
            var (journal, posted) = await positions.PositionsAsync(cancellationToken);
            var state = FormattableString.Invariant($"journal at {journal}, ledgers posted to {posted}");
            if (projections.DaemonForMainDatabase().HasAnyPaused())
                return HealthCheckResult.Unhealthy(
                    $"Posting has stopped and is tried again by itself ({state}). Nothing is lost; if it stays so, an entry cannot be read or posted, and the log says why."
                );
            if (posted < journal && await transactions.LongestAsync(OpenMax, cancellationToken) is { } open)
                return HealthCheckResult.Degraded(Reason(open, state));
            if (
                await OldestWaitingAsync(posted, cancellationToken) is { } since
                && time.GetUtcNow() - since > WaitingMax
            )
                return HealthCheckResult.Unhealthy(
                    $"Ledgers have not moved on since {since:u} ({state}). Nothing is lost; look for the cause in the log of the hub that posts, then start it again."
                );
            return HealthCheckResult.Healthy(state);
        }
        catch (NpgsqlException e)
        {
            return HealthCheckResult.Unhealthy($"The database does not answer: {e.Message}", e);
        }
    }

    /// <summary>What an open transaction does to posting, and what to do about it.</summary>
    internal static string Reason(OpenTransaction open, string state) =>
        FormattableString.Invariant(
            $"A transaction open for {open.OpenSeconds:0} s by process {open.ProcessId} (\"{open.Application}\") holds posting back ({state}). Nothing is lost; end it there, or with select pg_terminate_backend({open.ProcessId})."
        );

    /// <summary>When the first entry that is not posted yet was recorded.</summary>
    private async Task<DateTimeOffset?> OldestWaitingAsync(long posted, CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            "select timestamp from journal.mt_events where seq_id > $1 order by seq_id limit 1",
            posted
        );
        return await command.ExecuteScalarAsync(cancellationToken) is DateTime recorded
            ? new DateTimeOffset(recorded, TimeSpan.Zero)
            : null;
    }
}
