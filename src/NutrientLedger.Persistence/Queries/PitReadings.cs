using Npgsql;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Weather;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// Reads the single levels of a pit and the running totals of rain gauges from the journal. If a position is named, as
/// of that position.
/// </summary>
public sealed class PitReadings(NpgsqlDataSource source)
{
    private readonly JournalReader journal = new(source);

    /// <summary>
    /// The levels of a pit measured between two moments (ms since 1970), in no order. Void readings and those of
    /// questionable time are left out.
    /// </summary>
    public async Task<IReadOnlyList<LevelAt>> LevelsAsync(
        string farmId,
        FarmConfiguration configuration,
        string pitId,
        long from,
        long until,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var levels = new List<LevelAt>();
        var times = configuration
            .Sensors.Where(sensor => sensor.Place == SensorPlace.InPit && sensor.HostId == pitId)
            .Select(sensor => sensor.EquipmentId)
            .Distinct()
            .SelectMany(device => SentTimes.Of(configuration, TelemetryStream.Store, device, from, until));
        await foreach (
            var row in journal.BatchesMeasuredAsync(
                farmId,
                TelemetryStream.Store,
                times,
                asOf ?? long.MaxValue,
                cancellationToken
            )
        )
            levels.AddRange(
                PitLevels
                    .Of(((StorageLevelMeasured)row.Event).Batch, row.RecordedAt, configuration, pitId)
                    .Where(level => level.AtMilliseconds >= from && level.AtMilliseconds < until)
            );
        return levels;
    }

    /// <summary>
    /// The running totals of the farm's rain gauges measured between two moments (ms since 1970), in no order. Void
    /// readings and those of questionable time are left out.
    /// </summary>
    public async Task<IReadOnlyList<RainTotal>> RainAsync(
        string farmId,
        FarmConfiguration configuration,
        long from,
        long until,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var totals = new List<RainTotal>();
        var devices = await DeviceRows.ListAsync(source, farmId, cancellationToken);
        await foreach (
            var row in journal.BatchesMeasuredAsync(
                farmId,
                TelemetryStream.Weather,
                devices
                    .Where(device => device.Stream == TelemetryStream.Weather)
                    .SelectMany(device =>
                        SentTimes.Of(configuration, TelemetryStream.Weather, device.EquipmentId, from, until)
                    ),
                asOf ?? long.MaxValue,
                cancellationToken
            )
        )
            totals.AddRange(
                RainTotal
                    .Of(((WeatherMeasured)row.Event).Batch, row.RecordedAt, configuration)
                    .Where(total => total.AtMilliseconds >= from && total.AtMilliseconds < until)
            );
        return totals;
    }
}
