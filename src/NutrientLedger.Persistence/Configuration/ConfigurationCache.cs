using Npgsql;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Configuration;

/// <summary>
/// The configurations of farms as the projection or the append goes along. They are kept and extended by what was
/// recorded since. After a restart or a retry they are read again.
/// </summary>
internal sealed class ConfigurationCache
{
    private readonly Dictionary<string, (FarmConfiguration Configuration, long Position)> known = [];

    /// <summary>A farm's configuration as of a position.</summary>
    public async Task<FarmConfiguration> AtPositionAsync(
        JournalReader journal,
        string farmId,
        long position,
        CancellationToken cancellationToken
    )
    {
        var (configuration, from) = known.GetValueOrDefault(farmId, (FarmConfiguration.Empty, 0));
        if (from == position)
            return configuration;
        if (from > position)
            (configuration, from) = (FarmConfiguration.Empty, 0);
        await foreach (var row in journal.ConfigurationEventsAsync(farmId, from, position, cancellationToken))
            configuration = configuration.With(row.Event);
        known[farmId] = (configuration, position);
        return configuration;
    }

    /// <summary>The command that reads what was recorded of farms since they were last read.</summary>
    public NpgsqlBatchCommand ReadNewer(string[] farmIds) =>
        SqlCommands.BatchCommand(
            $"""
            select event.farm, position, type, body from unnest($1, $2) as wanted (farm, after)
            join journal.event on event.farm = wanted.farm and event.stream = '{JournalReader.ConfigurationStream}'
                and event.position + 0 > wanted.after
            order by event.farm, event.version
            """,
            farmIds,
            Array.ConvertAll(farmIds, farmId => known.GetValueOrDefault(farmId).Position)
        );

    /// <summary>Takes a row of <see cref="ReadNewer"/>.</summary>
    public void Add(NpgsqlDataReader row)
    {
        var farmId = row.GetString(0);
        var configuration = Newest(farmId).With(EventCodec.Decode(row.GetString(2), row.GetFieldValue<byte[]>(3)));
        known[farmId] = (configuration, row.GetInt64(1));
    }

    /// <summary>A farm's configuration with everything read so far. Empty for an unknown farm.</summary>
    public FarmConfiguration Newest(string farmId) =>
        known.GetValueOrDefault(farmId, (FarmConfiguration.Empty, 0)).Configuration;
}
