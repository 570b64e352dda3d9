using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger.Storage;
using Xunit.Abstractions;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>
/// A thousand invented days of one pit, each with its own errors drawn from the stated deviations, run through the
/// reconciliation itself. The seed is fixed, so the shares are the same on every run. The harsher days have errors a
/// third larger than stated, and waves.
/// </summary>
public class ManyPitDaysTests(ITestOutputHelper output)
{
    private const int Days = 1000;

    // 5 % and three standard errors of a share of 5 % among 1,000 days.
    private const double FalseAlarmsMax = 0.05 + 3 * 0.0069;

    [Fact]
    public void Clean_days_raise_a_false_alarm_no_more_often_than_the_chosen_five_of_a_hundred()
    {
        var alarms = Run(_ => { }).Count(found => found.Closure != PitClosure.Closes);
        output.WriteLine($"false alarms on {alarms} of {Days} clean days");
        Assert.InRange(alarms / (double)Days, 0.01, FalseAlarmsMax);
    }

    [Fact]
    public void A_meter_that_counts_8_percent_too_much_is_detected_and_named()
    {
        var found = Run(day => day.MeterScale = 1.08);
        Expect(found, "the flow meter of drag-line");
    }

    [Fact]
    public void A_level_sensor_that_shifts_5_centimetres_during_the_day_is_detected_and_named()
    {
        var found = Run(day => day.SlipMillimetres = 50);
        Expect(found, "the level sensor");
    }

    [Fact]
    public void A_leak_of_a_tenth_is_detected_and_named()
    {
        var found = Run(day => day.LeakShare = 0.1);
        Expect(found, PitMeasuredValue.Loss);
    }

    /// <summary>
    /// A constant offset cancels out of every difference. Only a tape beside the sensor shows it, and cannot show which
    /// of the two is off.
    /// </summary>
    [Fact]
    public void A_constant_level_offset_of_5_centimetres_shows_against_the_tape_only()
    {
        var found = Run(day => day.OffsetMillimetres = 50);
        Detected(found);
        Assert.True(
            found.Count(one =>
                one.SuspectedErrors.Select(error => error.Measurement).Contains("the mean level of the level sensor")
            )
                >= 0.8 * Days
        );

        var withoutTape = Run(day => (day.OffsetMillimetres, day.HasTape) = (50, false));
        var alarms = withoutTape.Count(one => one.Closure != PitClosure.Closes);
        output.WriteLine($"without tape on {alarms} of {Days} days");
        // Only the slope of the walls shows it: a level read too high lies where the basin is wider. The effect is
        // almost zero.
        Assert.InRange(alarms / (double)Days, 0, 0.15);
    }

    [Fact]
    public void Without_tape_a_shifting_sensor_and_a_loss_cannot_be_distinguished_and_both_are_named()
    {
        var found = Run(day => (day.SlipMillimetres, day.HasTape) = (50, false));
        var both = found.Where(one =>
            one.SuspectedErrors.Select(error => error.Measurement).Contains("the level sensor")
            && one.SuspectedErrors.Select(error => error.Measurement).Contains(PitMeasuredValue.Loss)
        );
        Assert.True(both.Count() >= 0.8 * Days);
    }

    /// <summary>
    /// Stated errors matter: where they are a third too small, chance alone raises an alarm about four times as often.
    /// </summary>
    [Fact]
    public void Where_errors_are_larger_than_stated_false_alarms_rise_and_stay_below_a_quarter()
    {
        var alarms = Run(Harsher).Count(found => found.Closure != PitClosure.Closes);
        output.WriteLine($"harsher: false alarms on {alarms} of {Days} clean days");
        Assert.InRange(alarms / (double)Days, FalseAlarmsMax, 0.25);
    }

    [Fact]
    public void Where_errors_are_larger_than_stated_each_fault_is_still_found_and_mostly_named()
    {
        Expect(Run(Harsher + (day => day.MeterScale = 1.08)), "the flow meter of drag-line", 0.9, 0.7);
        Expect(Run(Harsher + (day => day.SlipMillimetres = 50)), "the level sensor", 0.9, 0.7);
        Expect(Run(Harsher + (day => day.LeakShare = 0.1)), PitMeasuredValue.Loss, 0.9, 0.7);
    }

    [Fact]
    public void A_level_that_falls_by_4_centimetres_while_nothing_is_drawn_is_noticed_and_clean_nights_are_not()
    {
        var clean = Periods(_ => { }).Count(day => day.MovedWhileIdle is not null);
        var drifting = Periods(day => day.NightDriftMillimetres = 40).Count(day => day.MovedWhileIdle is not null);
        output.WriteLine($"idle level: false alarms on {clean} of {Days} days, drift noticed on {drifting}");
        Assert.InRange(clean / (double)Days, 0, FalseAlarmsMax);
        Assert.True(drifting >= 0.95 * Days);
    }

    private static readonly Action<InventedDay> Harsher = day => (day.ErrorScale, day.WavesMillimetres) = (1.3, 15);

    private void Expect(
        List<PitReconciliation> found,
        string measurement,
        double detectedAtLeast = 0.95,
        double namedAtLeast = 0.8
    )
    {
        Detected(found, detectedAtLeast);
        var named = found.Count(one => one.SuspectedErrors is [var only] && only.Measurement == measurement);
        output.WriteLine($"{measurement} named alone on {named} of {Days} days");
        Assert.True(named >= namedAtLeast * Days, $"{measurement} was named on {named} of {Days} days");
    }

    private void Detected(List<PitReconciliation> found, double atLeast = 0.95)
    {
        var detected = found.Count(one => one.Closure is PitClosure.Warning or PitClosure.DoesNotClose);
        output.WriteLine($"detected on {detected} of {Days} days");
        Assert.True(detected >= atLeast * Days, $"detected on {detected} of {Days} days");
    }

    private static List<PitReconciliation> Run(Action<InventedDay> fault) =>
        [.. Periods(fault).Select(period => period.Reconciliation)];

    private static List<ReconciledPitPeriod> Periods(Action<InventedDay> fault)
    {
        var random = new Random(20260421);
        var found = new List<ReconciledPitPeriod>();
        for (var count = 0; count < Days; count++)
        {
            var day = new InventedDay(random);
            fault(day);
            found.Add(day.Period());
        }
        return found;
    }
}
