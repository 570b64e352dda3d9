using System.Collections.Concurrent;
using Npgsql;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Configuration;

/// <summary>
/// The newest configurations of farms as last read, one cache for a process. Each reader asks the journal only for what
/// was recorded since. Safe for many threads.
/// </summary>
public sealed class ConfigurationCache
{
    private readonly ConcurrentDictionary<string, ConfigurationSnapshot> newest = [];

    /// <summary>The configurations that <see cref="AtPositionAsync"/> gave last. One thread uses them.</summary>
    private readonly Dictionary<string, (FarmConfiguration Configuration, long Position)> atPosition = [];

    /// <summary>A farm's configuration with everything read so far. An unknown farm's is empty.</summary>
    internal ConfigurationSnapshot Newest(string farmId) =>
        newest.GetValueOrDefault(farmId) ?? new(farmId, FarmConfiguration.Empty, 0, []);

    /// <summary>
    /// Adds committed events that follow what was known when they were read, in order. Those that another reader has
    /// added meanwhile are skipped. Returns the configuration with all of them.
    /// </summary>
    internal ConfigurationSnapshot Add(string farmId, IReadOnlyList<RecordedEvent> events) =>
        newest.AddOrUpdate(farmId, _ => With(Newest(farmId), events), (_, known) => With(known, events));

    /// <summary>The command that reads what was recorded of farms since they were last read.</summary>
    internal NpgsqlBatchCommand ReadNewer(string[] farmIds) =>
        SqlCommands.BatchCommand(
            $"""
            select event.farm, position, version, recorded_at, type, body
            from unnest($1, $2) as wanted (farm, after)
            join journal.event on event.farm = wanted.farm and event.stream = '{JournalReader.ConfigurationStream}'
                and event.version > wanted.after
            order by event.farm, event.version
            """,
            farmIds,
            Array.ConvertAll(farmIds, farmId => Newest(farmId).Version)
        );

    /// <summary>Takes all rows of <see cref="ReadNewer"/>.</summary>
    internal async Task AddAsync(NpgsqlDataReader rows, CancellationToken cancellationToken)
    {
        var read = new List<(string FarmId, RecordedEvent Event)>();
        while (await rows.ReadAsync(cancellationToken))
            read.Add(
                (
                    rows.GetString(0),
                    new(
                        rows.GetInt64(1),
                        rows.GetInt64(2),
                        rows.GetFieldValue<DateTimeOffset>(3),
                        EventCodec.Decode(rows.GetString(4), rows.GetFieldValue<byte[]>(5))
                    )
                )
            );
        foreach (var farm in read.GroupBy(it => it.FarmId, it => it.Event))
            Add(farm.Key, [.. farm]);
    }

    /// <summary>A farm's configuration as of a position, for the projection as it goes along.</summary>
    internal async Task<FarmConfiguration> AtPositionAsync(
        JournalReader journal,
        string farmId,
        long position,
        CancellationToken cancellationToken
    )
    {
        var (configuration, from) = atPosition.GetValueOrDefault(farmId, (FarmConfiguration.Empty, 0));
        if (from == position)
            return configuration;
        if (from > position)
            (configuration, from) = (FarmConfiguration.Empty, 0);
        await foreach (var row in journal.ConfigurationEventsAsync(farmId, from, position, cancellationToken))
            configuration = configuration.With(row.Event);
        atPosition[farmId] = (configuration, position);
        return configuration;
    }

    private static ConfigurationSnapshot With(ConfigurationSnapshot known, IReadOnlyList<RecordedEvent> events)
    {
        RecordedEvent[] added = [.. events.SkipWhile(it => it.Version <= known.Version)];
        return added.Length == 0
            ? known
            : new(
                known.FarmId,
                added.Aggregate(known.Configuration, (configuration, it) => configuration.With(it.Event)),
                added[^1].Version,
                [.. known.Events, .. added]
            );
    }
}
