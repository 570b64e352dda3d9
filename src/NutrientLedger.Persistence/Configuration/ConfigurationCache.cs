using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Configuration;

/// <summary>
/// The registers of farms as the projection goes along: kept from page to page and extended by what was recorded since, read
/// anew after a restart or when a page is tried again.
/// </summary>
internal sealed class ConfigurationCache(JournalReader journal)
{
    private readonly Dictionary<string, (FarmConfiguration Register, long Position)> known = [];

    /// <summary>A farm's register as of a position.</summary>
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

    /// <summary>A farm's register with everything recorded so far.</summary>
    public async Task<FarmConfiguration> NewestAsync(string farmId, CancellationToken cancellationToken)
    {
        var (configuration, position) = known.GetValueOrDefault(farmId, (FarmConfiguration.Empty, 0));
        await foreach (var row in journal.ConfigurationEventsAsync(farmId, position, long.MaxValue, cancellationToken))
            (configuration, position) = (configuration.With(row.Event), row.Position);
        // Anybody can send under the name of a farm that does not exist; nothing is kept of those.
        if (position > 0)
            known[farmId] = (configuration, position);
        return configuration;
    }
}
