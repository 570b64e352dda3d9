using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// Readings a second apart. From reading n to n + 1 pass n litres at n g/L of nitrogen, so that a plain mean would
/// differ.
/// </summary>
public class SensorWindowSumsTests
{
    [Fact]
    public void The_counterpart_of_a_sample_of_the_flow_is_weighted_by_volume_and_ends_with_its_window()
    {
        // Seconds 2, 3 and 4: (2·2 + 3·3 + 4·4)/(2 + 3 + 4) g/L.
        var passed = Passed(Some.Configuration(Some.ConfigurationEvents()), Flow(2, 5), readings: 12);

        Assert.Equal(9_000, passed.VolumeMillilitres);
        Assert.Equal(29_000.0 / 9, passed.Mean!.Value, 1e-9);
    }

    [Fact]
    public void Volume_without_a_content_has_no_part_in_the_mean_and_is_reported()
    {
        var passed = Passed(Some.Configuration(Some.ConfigurationEvents()), Flow(2, 5), readings: 12, missing: 4);

        Assert.Equal(4_000, passed.MillilitresWithout);
        Assert.Equal(13_000.0 / 5, passed.Mean!.Value, 1e-9);
    }

    [Fact]
    public void A_grab_sample_is_widened_by_a_minute_and_another_sensors_sample_has_no_window()
    {
        var grab = SampledWindow.Of(Report(100, 100, Some.Sensor, null), Some.Sensor, 24)!;

        Assert.Equal(120_000, grab.UntilMilliseconds - grab.FromMilliseconds);
        Assert.Null(SampledWindow.Of(Report(0, 5, "nir-9", Some.Pit), Some.Sensor, 24));
    }

    [Fact]
    public void A_sample_of_a_pit_pairs_with_what_was_metered_from_that_pit_in_the_hours_around_it()
    {
        // The source changes to another pit with the fifth second.
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Source("south-pit", Some.Morning.AddSeconds(5)),
        ]);
        var north = SampledWindow.Of(Report(-7_200, -7_200, null, Some.Pit), Some.Sensor, 3)!;
        var south = SampledWindow.Of(Report(0, 0, null, "south-pit"), Some.Sensor, 3)!;
        var yesterday = SampledWindow.Of(Report(-7_200, -7_200, null, Some.Pit), Some.Sensor, 1)!;

        Assert.Equal(1_000 + 2_000 + 3_000 + 4_000, Passed(configuration, north, 12).VolumeMillilitres);
        Assert.Equal(
            5_000 + 6_000 + 7_000 + 8_000 + 9_000 + 10_000,
            Passed(configuration, south, 12).VolumeMillilitres
        );
        Assert.Null(Passed(configuration, yesterday, 12).Mean);
    }

    [Fact]
    public void Voided_readings_have_no_part()
    {
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            new ReadingsVoided(
                "v",
                Some.DragLine,
                NutrientLedger.Journal.TelemetryStream.Spread,
                1,
                4,
                4,
                VoidedPart.Reading,
                "Air in the line",
                "Ada Ash"
            ),
        ]);

        // Reading 4 is that of second 3: intervals 2–3 and 3–4 do not count.
        Assert.Equal(4_000, Passed(configuration, Flow(2, 5), 12).VolumeMillilitres);
    }

    private static SampledWindow Flow(int from, int to) =>
        SampledWindow.Of(Report(from, to, Some.Sensor, null), Some.Sensor, 24)!;

    private static PassedContent Passed(
        FarmConfiguration configuration,
        SampledWindow window,
        int readings,
        int? missing = null
    )
    {
        var passed = new SensorWindowSums(configuration, Some.Sensor, Analyte.TotalNitrogen, [window]);
        var drive = Enumerable
            .Range(0, readings)
            .Select(second => new SpreadReading(
                Some.Morning.AddSeconds(second).ToUnixTimeMilliseconds(),
                TotalMillilitres: second * (second - 1) / 2 * 1_000,
                TotalNitrogenMilligramsPerLitre: second == missing ? null : second * 1_000
            ));
        passed.Add(Some.Batch(drive).Batch, Some.Recorded);
        return Assert.Single(passed.Passed);
    }

    private static LabResultReported Report(int from, int to, string? sensor, string? pit) =>
        new(
            "r-1",
            "sample 1",
            "Fen Street laboratory",
            Some.Morning.AddSeconds(from),
            Some.Morning.AddSeconds(to),
            pit,
            sensor,
            "grab",
            new(2026, 5, 2),
            [new(PrintedAs.TotalNitrogen, 4, PrintedUnit.GramsPerLitre)],
            null,
            "Ada Ash"
        );
}
