using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// Searches the readings of a period in the journal for values that stay constant, jump or drift, and answers what a
/// decision about some needs to know.
/// </summary>
public sealed class FindingReader(NpgsqlDataSource source)
{
    private readonly JournalReader journal = new(source);

    /// <summary>
    /// Readings measured from one moment to before another. All of them are held in memory, so keep the period short.
    /// </summary>
    public async Task<IReadOnlyList<ReadingFinding>> FindAsync(
        string farmId,
        FarmConfiguration configuration,
        DateTimeOffset from,
        DateTimeOffset before,
        CancellationToken cancellationToken
    )
    {
        var (first, end) = (from.ToUnixTimeMilliseconds(), before.ToUnixTimeMilliseconds());
        var gathered = new GatheredReadings(configuration, first, end);
        var devices = await DeviceRows.ListAsync(source, farmId, cancellationToken);
        foreach (var stream in (TelemetryStream[])[TelemetryStream.Spread, TelemetryStream.Store])
        {
            var times = devices
                .Where(device => device.Stream == stream)
                .SelectMany(device => SentTimes.Of(configuration, stream, device.EquipmentId, first, end));
            await foreach (
                var row in journal.BatchesMeasuredAsync(farmId, stream, times, long.MaxValue, cancellationToken)
            )
                gathered.Add(row.Event, row.RecordedAt);
        }
        return [.. gathered.Findings()];
    }

    /// <summary>
    /// What a meter counted across readings whose totals are to be void. Null where the readings beside them do not
    /// show it.
    /// </summary>
    public async Task<MeteredAcross?> AcrossAsync(
        string farmId,
        FarmConfiguration configuration,
        DecisionCandidate readings,
        CancellationToken cancellationToken
    )
    {
        var totals = new VoidTotals(configuration, readings);
        var (first, last) = (readings.FirstSeq!.Value - 1, readings.LastSeq!.Value + 1);
        foreach (var beside in (long[])[first, last])
        await foreach (
            var row in journal.BatchesNumberedAsync(
                farmId,
                TelemetryStream.Spread,
                readings.EquipmentId!,
                readings.Boot!.Value,
                beside,
                beside,
                cancellationToken
            )
        )
            totals.Add(((SpreadingMeasured)row.Event).Batch, row.RecordedAt);
        return totals.Across;
    }
}
