using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Configuration;

/// <summary>
/// The configurations of farms as the projection goes along. They are kept between event batches and extended by what
/// was recorded since. After a restart or a retry they are read again.
/// </summary>
internal sealed class ConfigurationCache(JournalReader journal)
{
    private readonly Dictionary<string, (FarmConfiguration Configuration, long Position)> known = [];

    /// <summary>A farm's configuration as of a position.</summary>
    public async Task<FarmConfiguration> AtPositionAsync(
        string farmId,
        long position,
        CancellationToken cancellationToken
    )
    {
        var (configuration, from) = known.GetValueOrDefault(farmId, (FarmConfiguration.Empty, 0));
        if (from > position)
            (configuration, from) = (FarmConfiguration.Empty, 0);
        await foreach (var row in journal.ConfigurationEventsAsync(farmId, from, position, cancellationToken))
            configuration = configuration.With(row.Event);
        known[farmId] = (configuration, position);
        return configuration;
    }

    /// <summary>A farm's configuration with everything recorded so far.</summary>
    public async Task<FarmConfiguration> NewestAsync(string farmId, CancellationToken cancellationToken)
    {
        var (configuration, position) = known.GetValueOrDefault(farmId, (FarmConfiguration.Empty, 0));
        await foreach (var row in journal.ConfigurationEventsAsync(farmId, position, long.MaxValue, cancellationToken))
            (configuration, position) = (configuration.With(row.Event), row.Position);
        // Anybody can send under the name of a farm that does not exist. Nothing is kept of those.
        if (position > 0)
            known[farmId] = (configuration, position);
        return configuration;
    }
}
