using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>Finds out which partitions a correction of a farm concerns.</summary>
internal static class PendingCorrection
{
    /// <summary>What was recorded after one configuration of a farm and up to another.</summary>
    public static async Task<Correction> ReadAsync(
        JournalReader journal,
        string farmId,
        long after,
        long upTo,
        CancellationToken cancellationToken
    )
    {
        var before = await journal.ConfigurationAsync(farmId, after, cancellationToken);
        var events = new List<IJournalEvent>();
        await foreach (var row in journal.ConfigurationEventsAsync(farmId, after, upTo, cancellationToken))
            events.Add(row.Event);
        return new(events, before, events.Aggregate(before, (so, @event) => so.With(@event)));
    }

    /// <summary>The partitions to post again, as the ledger that is read is now.</summary>
    public static async Task<PartitionSet> PartitionsAsync(
        this Correction correction,
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    ) =>
        correction.Partitions(
            await SpansAsync(connection, farmId, correction, cancellationToken),
            correction.FirstSeasonRedrawn is { } first
                ? await LineRows.WorkedAsync(connection, farmId, first, cancellationToken)
                : []
        );

    /// <summary>Where the readings that a correction concerns lie in time, by what the journal's index says.</summary>
    public static async Task<Func<RebuildScope.ReadingsOf, IEnumerable<MeasuredSpan>>> SpansAsync(
        NpgsqlConnection connection,
        string farmId,
        Correction correction,
        CancellationToken cancellationToken
    )
    {
        var spans = new Dictionary<RebuildScope.ReadingsOf, List<MeasuredSpan>>();
        foreach (var readings in correction.Readings.Distinct())
            spans[readings] = await connection
                .Command(
                    $"""
                    select distinct measured_from, measured_to from {BatchSpanRows.Table}
                    where farm = $1 and stream = $2 and equipment = $3 and boot = $4
                        and first_seq - 1 <= $6 and last_seq >= $5 - 1
                    """,
                    farmId,
                    BatchSpanRows.Name(TelemetryStream.Spread),
                    readings.EquipmentId,
                    readings.Boot,
                    readings.FirstSeq,
                    readings.LastSeq
                )
                .ListAsync(row => new MeasuredSpan(row.GetInt64(0), row.GetInt64(1)), cancellationToken);
        return readings => spans[readings];
    }
}
