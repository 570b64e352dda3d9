using System.Collections.Immutable;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Persistence.Queries;

namespace NutrientLedger.Web.Queries;

/// <summary>
/// What a farm's meters counted between readings that were received, as of now. Received ranges keep no past, so
/// nothing is known as of an earlier journal position.
/// </summary>
public sealed class InterruptionQuery(DeviceReader devices, FarmClock clock)
{
    /// <summary>All interruptions, by applicator and in the order of time. Null as of an earlier position.</summary>
    public async Task<IReadOnlyList<MeterInterruption>?> AskAsync(
        string farmId,
        FarmConfiguration configuration,
        long? asOf,
        CancellationToken cancellationToken
    ) => asOf is null ? await NowAsync(farmId, configuration, cancellationToken) : null;

    /// <summary>All interruptions as of now.</summary>
    public async Task<ImmutableArray<MeterInterruption>> NowAsync(
        string farmId,
        FarmConfiguration configuration,
        CancellationToken cancellationToken
    ) => MeterInterruptions.Of(configuration, await devices.RunsAsync(farmId, cancellationToken), clock.Now);
}
