using Npgsql;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>
/// Reads the single levels of a pit and the running totals of rain gauges from the journal, as of a position if one is named. A
/// sound reading is recorded at the earliest a little before its own time (a clock may be ahead), but maybe weeks after it.
/// </summary>
public sealed class PitReadings(NpgsqlDataSource source)
{
    private readonly JournalRows journal = new(source);

    /// <summary>The levels of a pit measured from one moment to another (ms since 1970), voided and doubtful ones left out, in no order.</summary>
    public async Task<IReadOnlyList<LevelAt>> LevelsAsync(
        string farmId,
        Register register,
        string pitId,
        long from,
        long until,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var levels = new List<LevelAt>();
        string[] senders =
        [
            .. register
                .Sensors.Where(sensor => sensor.Place == SensorPlace.InPit && sensor.HostId == pitId)
                .Select(sensor => sensor.EquipmentId)
                .Distinct(),
        ];
        if (senders.Length == 0)
            return levels;
        await foreach (
            var row in journal.StreamAsync<StorageLevelMeasured>(
                farmId,
                TelemetryStream.Store,
                senders,
                Doubtful.RecordedFrom(register, from),
                asOf ?? long.MaxValue,
                cancellationToken
            )
        )
            levels.AddRange(
                PitLevels
                    .Of(((StorageLevelMeasured)row.Entry).Pack, row.RecordedAt, register, pitId)
                    .Where(level => level.AtMilliseconds >= from && level.AtMilliseconds < until)
            );
        return levels;
    }

    /// <summary>The running totals of the farm's gauge measured from one moment to another (ms since 1970), in no order.</summary>
    public async Task<IReadOnlyList<RainTotal>> RainAsync(
        string farmId,
        Register register,
        long from,
        long until,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var totals = new List<RainTotal>();
        await foreach (
            var row in journal.StreamAsync<WeatherMeasured>(
                farmId,
                TelemetryStream.Weather,
                [],
                Doubtful.RecordedFrom(register, from),
                asOf ?? long.MaxValue,
                cancellationToken
            )
        )
        foreach (var reading in ((WeatherMeasured)row.Entry).Pack.Readings)
            if (
                reading is { MeasuredAtMilliseconds: var at, RainTotalMicrometres: { } total }
                && at >= from
                && at < until
            )
                totals.Add(new(at, total));
        return totals;
    }
}
