using Npgsql;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>Reads the single levels of a pit and the running totals of rain gauges from the journal.</summary>
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
        CancellationToken cancellationToken
    )
    {
        var levels = new List<LevelAt>();
        await foreach (var row in journal.OfTypeAsync<StorageLevelMeasured>(farmId, cancellationToken))
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
        long from,
        long until,
        CancellationToken cancellationToken
    )
    {
        var totals = new List<RainTotal>();
        await foreach (var row in journal.OfTypeAsync<WeatherMeasured>(farmId, cancellationToken))
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
