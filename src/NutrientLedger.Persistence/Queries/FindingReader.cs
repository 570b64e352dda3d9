using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Queries;

/// <summary>Searches the readings of a period in the journal for values that stay constant, jump or drift.</summary>
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
}
