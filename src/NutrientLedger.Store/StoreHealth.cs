using Marten.Events.Daemon.Coordination;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using Npgsql;

namespace NutrientLedger.Store;

/// <summary>Whether the database answers and ledgers are being kept current, and how far they are behind.</summary>
public sealed class StoreHealth(DeviceReader positions, IProjectionCoordinator projections) : IHealthCheck
{
    public async Task<HealthCheckResult> CheckHealthAsync(
        HealthCheckContext context,
        CancellationToken cancellationToken = default
    )
    {
        try
        {
            var (journal, posted) = await positions.PositionsAsync(cancellationToken);
            var state = FormattableString.Invariant($"journal at {journal}, ledgers posted to {posted}");
            return projections.DaemonForMainDatabase().HasAnyPaused()
                ? HealthCheckResult.Unhealthy(
                    $"Posting stopped at an entry that cannot be read or posted ({state}). Nothing is lost; look for the cause in the log, then start the hub again."
                )
                : HealthCheckResult.Healthy(state);
        }
        catch (NpgsqlException e)
        {
            return HealthCheckResult.Unhealthy($"The database does not answer: {e.Message}", e);
        }
    }
}
