using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Queries;

/// <summary>Reads from the journal what passed a sensor while samples were taken.</summary>
public sealed class SampleReader(NpgsqlDataSource source)
{
    private readonly JournalReader journal = new(source);

    /// <summary>
    /// Adds up all windows in one pass over the batches of the devices that the sensor was ever mounted under.
    /// </summary>
    public async Task AddAsync(
        string farmId,
        FarmConfiguration configuration,
        string sensorId,
        IReadOnlyList<SampledWindow> windows,
        SensorWindowSums passed,
        CancellationToken cancellationToken
    )
    {
        string[] devices =
        [
            .. configuration.Sensors.Where(it => it.SensorId == sensorId).Select(it => it.EquipmentId).Distinct(),
        ];
        var times = windows.SelectMany(window =>
            devices.SelectMany(device =>
                SentTimes.Of(
                    configuration,
                    TelemetryStream.Spread,
                    device,
                    window.ReadFromMilliseconds,
                    window.UntilMilliseconds
                )
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
            passed.Add(((SpreadingMeasured)row.Event).Batch, row.RecordedAt);
    }
}
