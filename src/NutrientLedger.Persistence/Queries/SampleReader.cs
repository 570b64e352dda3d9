using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// Reads from the journal what passed a sensor: while samples were taken, and all that it measured since.
/// </summary>
public sealed class SampleReader(NpgsqlDataSource source)
{
    private readonly JournalReader journal = new(source);

    /// <summary>
    /// Adds up all windows in one pass over the batches of the devices that the sensor was ever mounted under.
    /// </summary>
    public Task AddAsync(
        string farmId,
        FarmConfiguration configuration,
        string sensorId,
        IReadOnlyList<SampledWindow> windows,
        SensorWindowSums passed,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            farmId,
            configuration,
            sensorId,
            windows.Select(window => (window.ReadFromMilliseconds, window.UntilMilliseconds)),
            passed.Add,
            cancellationToken
        );

    /// <summary>Adds up the hours of a sensor, likewise.</summary>
    public Task AddAsync(
        string farmId,
        FarmConfiguration configuration,
        string sensorId,
        SensorHours hours,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            farmId,
            configuration,
            sensorId,
            [(hours.FromMilliseconds, hours.UntilMilliseconds)],
            hours.Add,
            cancellationToken
        );

    private async Task ReadAsync(
        string farmId,
        FarmConfiguration configuration,
        string sensorId,
        IEnumerable<(long From, long Until)> periods,
        Action<ReadingBatch<SpreadReading>, DateTimeOffset> add,
        CancellationToken cancellationToken
    )
    {
        string[] devices =
        [
            .. configuration.Sensors.Where(it => it.SensorId == sensorId).Select(it => it.EquipmentId).Distinct(),
        ];
        var times = periods.SelectMany(period =>
            devices.SelectMany(device =>
                SentTimes.Of(configuration, TelemetryStream.Spread, device, period.From, period.Until)
            )
        );
        await foreach (
            var row in journal.BatchesMeasuredAsync(
                farmId,
                TelemetryStream.Spread,
                times,
                long.MaxValue,
                cancellationToken
            )
        )
            add(((SpreadingMeasured)row.Event).Batch, row.RecordedAt);
    }
}
