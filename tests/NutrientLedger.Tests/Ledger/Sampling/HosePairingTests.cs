using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// A sensor at the pump, ten litres a second, a reading a second: 4 g/L of nitrogen up to the twentieth second, 2 g/L
/// from then on. Worked by hand. Plug flow is an idealisation (common practice, no source). No published example of a
/// hose with numbers was found.
/// </summary>
public class HosePairingTests
{
    private const int Litre = 1_000;

    [Fact]
    public void A_step_at_the_pump_reaches_a_sample_at_the_applicator_one_hose_volume_later()
    {
        // Thirty litres are three seconds: seconds 18 to 22 bring 4 g/L, 23 to 27 bring 2 g/L.
        var landed = Landed(AtPump(30 * Litre), from: 18, to: 28);

        Assert.Equal(new(100 * Litre, 50_000L * 4_000 + 50_000L * 2_000, 0, HoseLag.Shifted), landed);
        Assert.Equal(3_000, landed.Mean);
    }

    [Fact]
    public void A_hose_that_ends_within_an_interval_cuts_it()
    {
        // Twenty-five litres: second 22 brings half of second 19 and half of second 20, so (4·4 + 3 + 5·2)/10 g/L.
        Assert.Equal(2_900, Landed(AtPump(25 * Litre), from: 18, to: 28).Mean);
    }

    [Fact]
    public void Without_a_hose_volume_nothing_is_shifted_and_the_lag_is_not_known()
    {
        // Seconds 18 and 19 as read, then eight of 2 g/L.
        var landed = Landed(Some.Mounted(place: SensorPlace.AtPump), from: 18, to: 28);

        Assert.Equal((2_400.0, HoseLag.NotKnown), (landed.Mean!.Value, landed.Lag));
    }

    [Fact]
    public void A_sensor_on_the_applicator_has_no_lag_nor_has_one_at_the_sampled_place()
    {
        var onApplicator = Landed(Some.Mounted(), from: 18, to: 28);
        var withoutApplicator = Passed(AtPump(30 * Litre), Window(18, 28, applicator: null, Some.Sensor), [Drive()]);

        Assert.Equal((2_400.0, HoseLag.None), (onApplicator.Mean!.Value, onApplicator.Lag));
        Assert.Equal(onApplicator, withoutApplicator);
    }

    [Fact]
    public void The_volume_in_the_hose_before_the_first_reading_has_no_content()
    {
        // Forty-five litres before the first reading: seconds 0 to 3 and half of second 4.
        var landed = Landed(AtPump(45 * Litre), from: 0, to: 10);

        Assert.Equal((100 * Litre, 45 * Litre), (landed.VolumeMillilitres, landed.MillilitresWithout));
        Assert.Equal(4_000, landed.Mean);
    }

    [Fact]
    public void Missing_readings_move_the_column_by_their_totals_without_a_content()
    {
        // Readings 15 to 17 are missing. The totals say that 40 L ran between readings 14 and 18, that is in seconds 13
        // to 16.
        var drive = Drive().Batch;
        var parts = new[]
        {
            new SpreadingMeasured(new(Some.DragLine, 1, 1, drive.Readings[..14])),
            new SpreadingMeasured(new(Some.DragLine, 1, 18, drive.Readings[17..])),
        };

        var landed = Passed(AtPump(30 * Litre), Window(18, 28), parts);

        // Seconds 18 and 19 bring what ran in 15 and 16, unknown; 20 to 22 bring 4 g/L, 23 to 27 bring 2 g/L.
        Assert.Equal(new(100 * Litre, 30_000L * 4_000 + 50_000L * 2_000, 20 * Litre, HoseLag.Shifted), landed);
    }

    [Fact]
    public void A_meter_that_was_reset_and_another_boot_begin_a_new_column()
    {
        // After the reset in second 15 the hose holds 30 L of unknown content.
        var drive = Drive().Batch;
        var reset = drive.Readings.Select(
            (reading, second) =>
                second < 15 ? reading : reading with { TotalMillilitres = reading.TotalMillilitres - 150 * Litre }
        );
        SpreadingMeasured[] boots =
        [
            new(new(Some.DragLine, 1, 1, drive.Readings[..16])),
            new(new(Some.DragLine, 2, 1, drive.Readings[15..])),
        ];

        var afterReset = Passed(AtPump(30 * Litre), Window(15, 25), [Some.Batch(reset)]);
        var afterBoot = Passed(AtPump(30 * Litre), Window(15, 25), boots);

        Assert.Equal(new(100 * Litre, 50_000L * 4_000 + 20_000L * 2_000, 30 * Litre, HoseLag.Shifted), afterReset);
        Assert.Equal(afterReset, afterBoot);
    }

    [Fact]
    public void What_was_pumped_in_before_the_window_is_found_up_to_a_day_earlier()
    {
        var window = Window(18, 28);

        Assert.Equal(window.FromMilliseconds - 86_400_000, window.ReadFromMilliseconds);
        Assert.Equal(window.FromMilliseconds, Window(18, 28, null, Some.Sensor).ReadFromMilliseconds);
    }

    [Fact]
    public void A_sample_at_an_applicator_counts_for_the_sensors_that_were_mounted_for_it()
    {
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Mounted(sensor: "nir-9", equipment: Some.Wagon),
            Report(0, 5, Some.DragLine, null),
        ]);

        Assert.Equal(Some.DragLine, Assert.Single(SampledWindow.All(configuration, Some.Sensor, 24)).ApplicatorId);
        Assert.Empty(SampledWindow.All(configuration, "nir-9", 24));
    }

    private static SensorMounted AtPump(long hoseMillilitres) =>
        new(Some.Sensor, Some.DragLine, SensorPlace.AtPump, Some.DragLine, Some.Morning.AddDays(-30), hoseMillilitres);

    private static SpreadingMeasured Drive() =>
        Some.Batch(
            Enumerable
                .Range(0, 40)
                .Select(second => new SpreadReading(
                    Some.Morning.AddSeconds(second).ToUnixTimeMilliseconds(),
                    TotalMillilitres: second * 10L * Litre,
                    TotalNitrogenMilligramsPerLitre: second < 20 ? 4_000 : 2_000
                ))
        );

    private static PassedContent Landed(IJournalEvent mounted, int from, int to) =>
        Passed(mounted, Window(from, to), [Drive()]);

    private static PassedContent Passed(
        IJournalEvent mounted,
        SampledWindow window,
        IEnumerable<SpreadingMeasured> batches
    )
    {
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents().Where(@event => @event is not SensorMounted),
            mounted,
        ]);
        var passed = new SensorWindowSums(configuration, Some.Sensor, Analyte.TotalNitrogen, [window]);
        foreach (var measured in batches)
            passed.Add(measured.Batch, Some.Recorded);
        return Assert.Single(passed.Passed);
    }

    private static SampledWindow Window(int from, int to, string? applicator = Some.DragLine, string? sensor = null) =>
        SampledWindow.Of(Report(from, to, applicator, sensor), Some.Sensor, 24)!;

    private static LabResultReported Report(int from, int to, string? applicator, string? sensor) =>
        new(
            "r-1",
            "jar 1",
            "Fen Street laboratory",
            Some.Morning.AddSeconds(from),
            Some.Morning.AddSeconds(to),
            null,
            sensor,
            "mixed grab samples",
            new(2026, 5, 2),
            [],
            null,
            "Ada Ash",
            applicator
        );
}
