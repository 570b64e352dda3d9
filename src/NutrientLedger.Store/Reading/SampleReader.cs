using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>Reads from the journal what ran past a sensor while samples were taken.</summary>
public sealed class SampleReader(NpgsqlDataSource source)
{
    private readonly JournalRows journal = new(source);

    /// <summary>Adds up all windows in one pass over the packs of the senders under which the sensor was ever mounted.</summary>
    public async Task AddAsync(
        string farmId,
        Register register,
        string sensorId,
        IReadOnlyList<SampledWindow> windows,
        PassedSensor passed,
        CancellationToken cancellationToken
    )
    {
        if (windows.Count == 0)
            return;
        string[] senders =
        [
            .. register.Sensors.Where(it => it.SensorId == sensorId).Select(it => it.EquipmentId).Distinct(),
        ];
        await foreach (
            var row in journal.StreamAsync<SpreadingMeasured>(
                farmId,
                TelemetryStream.Spread,
                senders,
                Doubtful.RecordedFrom(register, windows.Min(window => window.ReadFromMilliseconds)),
                long.MaxValue,
                cancellationToken
            )
        )
            passed.Add(((SpreadingMeasured)row.Entry).Pack, row.RecordedAt);
    }
}
