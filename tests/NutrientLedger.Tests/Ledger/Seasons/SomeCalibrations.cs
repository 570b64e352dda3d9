using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// Calibrations made from a seed: overlapping, for one pit or all, some withdrawn, each from one whole farm hour to
/// another.
/// </summary>
internal static class SomeCalibrations
{
    private const long HourMilliseconds = 3_600_000;

    /// <summary>
    /// Slopes come in thousandths, so that a calibrated content in thousandths of mg/L is a whole number.
    /// </summary>
    public static IJournalEvent[] Of(InventedSeason season, int seed)
    {
        var random = new Random(seed);
        var calendar = Some.Configuration(season.ConfigurationEvents).Calendar!;
        var times = season.Spread.SelectMany(series => series.Readings).Select(x => x.MeasuredAtMilliseconds).ToArray();
        // Whatever is mounted when, some ledger line of every season is calibrated.
        List<IJournalEvent> events =
        [
            .. from sensor in new[] { Some.Sensor, "nir-2" }
            from analyte in Enum.GetValues<Analyte>()
            select new CalibrationAdopted(
                $"{sensor}-{analyte}",
                sensor,
                analyte,
                random.Next(500, 1_500) * 1000,
                random.Next(-90_000, 90_000),
                DateTimeOffset.FromUnixTimeMilliseconds(calendar.HourStartSeconds(times.Min()) * 1000),
                null,
                null,
                [],
                "Ada Ash",
                "Laboratory differs"
            ),
        ];
        for (var i = 0; i < 30; i++)
        {
            var from = calendar.HourStartSeconds(times[random.Next(times.Length)]) * 1000;
            var until = calendar.HourStartSeconds(from + random.Next(1, 30) * HourMilliseconds) * 1000;
            events.Add(
                new CalibrationAdopted(
                    $"c-{i}",
                    random.Next(4) == 0 ? "nir-2" : Some.Sensor,
                    (Analyte)random.Next(1, 6),
                    random.Next(-500, 2_500) * 1000,
                    random.Next(-900_000, 900_000),
                    DateTimeOffset.FromUnixTimeMilliseconds(from),
                    random.Next(3) == 0 ? null : DateTimeOffset.FromUnixTimeMilliseconds(until),
                    random.Next(3) == 0 ? Some.Pit : null,
                    [],
                    "Ada Ash",
                    "Laboratory differs"
                )
            );
            if (random.Next(5) == 0)
                events.Add(new CalibrationWithdrawn($"c-{random.Next(i + 1)}", "Ada Ash", "Sample mixed up"));
        }
        return [.. events];
    }

    /// <summary>
    /// The event with calibrated readings, contents in thousandths of their unit. Computed plainly, reading by reading.
    /// </summary>
    public static SpreadingMeasured InThousandths(
        SpreadingMeasured @event,
        IJournalEvent[] calibrations,
        FarmConfiguration configuration
    )
    {
        var batch = @event.Batch;
        return new(
            batch with
            {
                Readings = [.. batch.Readings.Select(Calibrated)],
                Before = batch.Before is { } before ? Calibrated(before) : null,
                After = batch.After is { } after ? Calibrated(after) : null,
            }
        );

        SpreadReading Calibrated(SpreadReading reading)
        {
            return reading with
            {
                DryMatterPartsPerMillion = Of(Analyte.DryMatter, reading.DryMatterPartsPerMillion),
                TotalNitrogenMilligramsPerLitre = Of(Analyte.TotalNitrogen, reading.TotalNitrogenMilligramsPerLitre),
                AmmoniumNitrogenMilligramsPerLitre = Of(
                    Analyte.AmmoniumNitrogen,
                    reading.AmmoniumNitrogenMilligramsPerLitre
                ),
                PhosphorusMilligramsPerLitre = Of(Analyte.Phosphorus, reading.PhosphorusMilligramsPerLitre),
                PotassiumMilligramsPerLitre = Of(Analyte.Potassium, reading.PotassiumMilligramsPerLitre),
            };

            int? Of(Analyte analyte, int? measured) =>
                InForce(analyte, reading.MeasuredAtMilliseconds) is { } calibration
                    ? (int?)(calibration.SlopeMillionths / 1000 * measured + calibration.InterceptThousandths)
                    : measured * 1000;
        }

        CalibrationAdopted? InForce(Analyte analyte, long at)
        {
            var (sensor, pit) = (
                configuration.SensorFor(batch.EquipmentId, at)?.SensorId,
                configuration.PitFeeding(batch.EquipmentId, at)
            );
            CalibrationAdopted? forAll = null;
            CalibrationAdopted? forPit = null;
            for (var i = 0; i < calibrations.Length; i++)
            {
                if (
                    calibrations[i] is not CalibrationAdopted adopted
                    || adopted.SensorId != sensor
                    || adopted.Analyte != analyte
                    || at < adopted.ValidFrom.ToUnixTimeMilliseconds()
                    || at >= adopted.ValidTo?.ToUnixTimeMilliseconds()
                    || calibrations[i..]
                        .Any(x => x is CalibrationWithdrawn w && w.CalibrationId == adopted.CalibrationId)
                )
                    continue;
                if (adopted.PitId is null)
                    forAll = adopted;
                else if (adopted.PitId == pit)
                    forPit = adopted;
            }
            return forPit ?? forAll;
        }
    }
}
