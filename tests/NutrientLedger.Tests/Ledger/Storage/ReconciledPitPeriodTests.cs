using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Tests.Ledger.Storage;

public class ReconciledPitPeriodTests
{
    private static readonly PitRegistered Pit = new("tank", "Tank", new RoundTank(20_000, 5_000), 4_500);
    private static readonly DateTimeOffset Begin = new(2025, 10, 1, 5, 0, 0, TimeSpan.Zero);

    private static readonly FarmConfiguration Farm = new IJournalEvent[]
    {
        new FarmRegistered("Test", "America/Chicago", 10, 1, new(2025, 10, 1), new CoverageGrid(90, 124)),
        Pit,
        new DailyInflowSet("R. Field", "tank", InflowKind.Manure, 100, 60_000, Begin, null),
    }.Aggregate(FarmConfiguration.Empty, (configuration, @event) => configuration.With(@event));

    [Fact]
    public void Start_plus_in_minus_out_minus_end_is_what_stays_unexplained_to_the_millilitre()
    {
        var configuration = Farm.With(new LoadsHauled("R. Field", At(9), "tank", null, null, 3, 18_000_001, 950, null));
        var period = Period(configuration, new(2026, 4, 21), new(2026, 4, 22), Line(120_000_003));
        var input = period.Reconciliation.Input;

        Assert.Equal(
            51_300_003,
            Assert.Single(input.Outflow, measured => measured.Measurement.StartsWith("hand", default)).Millilitres
        );
        Assert.Equal(
            input.Sensor!.StartMillilitres + 6_000_000 - 51_300_003 - 120_000_003 - input.Sensor.EndMillilitres,
            input.UnexplainedMillilitres
        );
    }

    [Theory]
    [InlineData(2026, 3, 8, 23)]
    [InlineData(2026, 11, 1, 25)]
    [InlineData(2026, 4, 21, 24)]
    public void A_day_on_which_the_clock_changes_brings_inflow_for_its_true_hours(
        int year,
        int month,
        int day,
        int hours
    )
    {
        var date = new DateOnly(year, month, day);
        var input = Period(Farm, date, date.AddDays(1)).Reconciliation.Input;
        Assert.Equal(6_000_000 * hours / 24, Assert.Single(input.Inflow).Millilitres);
    }

    [Fact]
    public void A_pit_without_level_sensor_or_tape_cannot_be_checked()
    {
        var empty = Period(Farm, new(2026, 4, 21), new(2026, 4, 22), levels: []);
        Assert.Equal(PitClosure.CannotTell, empty.Reconciliation.Closure);
        Assert.Null(empty.Reconciliation.Input.UnexplainedMillilitres);
        Assert.Contains(new PitNote.NoLevelSensor(TapeStandsIn: false), empty.Notes);
    }

    [Fact]
    public void Periods_that_meet_add_up_to_the_period_that_holds_them()
    {
        var (first, second, third) = (new DateOnly(2026, 4, 20), new DateOnly(2026, 4, 21), new DateOnly(2026, 4, 22));
        LevelAt[] levels =
        [
            new(Farm.Calendar!.StartOf(first), 3_100),
            new(Farm.Calendar.StartOf(second), 3_000),
            new(Farm.Calendar.StartOf(third), 2_900),
        ];
        long Unexplained(DateOnly from, DateOnly until) =>
            Period(Farm, from, until, Line(120_000_000), levels).Reconciliation.Input.UnexplainedMillilitres!.Value;

        Assert.Equal(Unexplained(first, third), Unexplained(first, second) + Unexplained(second, third), 3.0);
    }

    /// <summary>
    /// On a day without drawing the pit fills up. A sensor that shifts down by 20 cm says that 62.8 m³ left it.
    /// </summary>
    [Fact]
    public void On_a_day_without_drawing_the_level_sensor_is_a_suspected_error_too()
    {
        var day = new DateOnly(2026, 4, 21);
        LevelAt[] rising = [new(Farm.Calendar!.StartOf(day), 3_000), new(Farm.Calendar.StartOf(day.AddDays(1)), 3_200)];
        var period = Period(Farm, day, day.AddDays(1), levels: rising);
        Assert.Equal(PitClosure.DoesNotClose, period.Reconciliation.Closure);
        var suspected = period.Reconciliation.SuspectedErrors.Single(it => it.Measurement == "the level sensor");
        Assert.Equal((-62.8, -6.0), (Math.Round(suspected.Measured, 1), Math.Round(suspected.EstimateFromOthers, 1)));
    }

    /// <summary>
    /// A level every quarter of an hour. From 01:00 to 05:00 it falls by 20 cm in a tank of 314 m², 62.8 m³. Nothing is
    /// drawn before 09:00.
    /// </summary>
    [Theory]
    [InlineData(-200, 1)]
    [InlineData(200, -1)]
    [InlineData(0, null)]
    public void A_level_that_moves_while_nothing_is_drawn_is_reported_with_its_time_and_volume(int moved, int? unseen)
    {
        var day = new DateOnly(2026, 4, 21);
        var start = Farm.Calendar!.StartOf(day);
        var levels = Enumerable
            .Range(-2, 101)
            .Select(quarter => new LevelAt(
                start + quarter * 900_000L,
                2_500 + (int)(moved * Math.Clamp((quarter - 4) / 16.0, 0, 1)) + quarter / 5
            ));
        var period = Period(Farm, day, day.AddDays(1), Line(1_000), levels);
        if (unseen is null)
            Assert.Null(period.MovedWhileIdle);
        else
        {
            Assert.Equal(8, period.MovedWhileIdle!.Hours);
            Assert.InRange(period.MovedWhileIdle.UnexplainedCubicMetres * unseen.Value, 60, 70);
        }
    }

    [Fact]
    public void Rain_loads_and_foam_are_no_idle_time()
    {
        var day = new DateOnly(2026, 4, 21);
        var configuration = Farm.With(new PitNoted("R. Field", "tank", PitNoteKind.FoamOrCrust, At(0), At(8), "Foam"))
            .With(new LoadsHauled("R. Field", At(11), "tank", null, null, 1, 1_000_000, 1_000, null));
        var stretches = IdleStretch.Of(Period(configuration, day, day.AddDays(1), Line(1_000)).Period).ToArray();
        // Foam until 8, drawn from 9 to 10, a load between 11 and 12. That leaves 12 to 24, shortened by half an hour
        // at both ends.
        var rest = Assert.Single(stretches);
        Assert.Equal((11.0, At(12).AddMinutes(30).ToUnixTimeMilliseconds()), (rest.Hours, rest.From));
    }

    [Fact]
    public void A_period_without_any_measurement_says_so()
    {
        var empty = Period(Farm, new(2025, 9, 20), new(2025, 9, 21), levels: []);
        Assert.Equal(PitClosure.CannotTell, empty.Reconciliation.Closure);
        Assert.Empty(empty.Reconciliation.MeasuredValues);
    }

    [Fact]
    public void What_ran_through_a_meter_with_no_recorded_source_is_named_and_is_in_no_pits_sum()
    {
        var (key, amounts) = Line(120_000_000);
        var period = Period(Farm, new(2026, 4, 21), new(2026, 4, 22), new(key with { PitId = "" }, amounts));
        Assert.Empty(period.Reconciliation.Input.Draws);
        Assert.Equal(120, period.FromNoPit.MeteredCubicMetres, 1e-9);
        Assert.Contains(new PitNote.SourceUnknown("line"), period.Notes);
    }

    /// <summary>
    /// From 2.471 m to 4.5 m of a round tank of 20 m there is room for 637.4 m³; 6 m³ a day take 106.2 days.
    /// </summary>
    [Fact]
    public void Room_is_given_in_days_to_the_full_depth_at_the_inflow_of_the_period() =>
        Assert.Equal(
            Math.PI * 100 * (4.5 - 2.471) / 6,
            Period(Farm, new(2026, 4, 21), new(2026, 4, 22)).DaysUntilFull!.Value,
            1e-6
        );

    /// <summary>
    /// 120 m³ with 4 kg/m³ are 480 kg. Level and inflow say that 172.2 m³ left, so 52.2 m³ with 208.8 kg stay
    /// unexplained.
    /// </summary>
    [Fact]
    public void Nutrients_follow_the_volumes_and_the_unexplained_part_is_given_in_kilograms()
    {
        var line = Line(120_000_000, totalNitrogen: new(480_000_000_000, 0));
        var period = Period(Farm, new(2026, 4, 21), new(2026, 4, 22), line);
        var nitrogen = period.DrawnNutrients[0];

        Assert.Equal("total N", nitrogen.Name);
        Assert.Equal(480, nitrogen.ByMeterKilograms!.Value, 1e-9);
        var unexplained = (Math.PI * 100 * 0.529) + 6 - 120;
        Assert.Equal(4 * unexplained, nitrogen.UnexplainedKilograms!.Value, 1e-3);
        // Level and meter contradict each other; the best estimate lies between them.
        Assert.InRange(nitrogen.ReconciledKilograms!.Value, 480, 480 + (4 * unexplained));
        Assert.Null(period.DrawnNutrients[2].ReconciledKilograms);
    }

    [Fact]
    public void Nutrients_in_the_pit_are_given_with_the_age_of_their_source()
    {
        var line = Line(120_000_000, totalNitrogen: new(480_000_000_000, 0));
        var stored = Assert.Single(Period(Farm, new(2026, 4, 21), new(2026, 4, 22), line).StoredNutrients);
        Assert.Equal("total N", stored.Name);
        Assert.Equal(4 * Math.PI * 100 * 2.471, stored.Kilograms, 1e-3);
        Assert.Equal(14.5 / 24, stored.AgeDays, 1e-9);
    }

    [Fact]
    public void Without_a_level_sensor_meter_and_set_rate_still_check_each_other()
    {
        var configuration = Farm.With(new SpreadingRateSet("R. Field", "line", null, 100_000_000, Begin, null));
        var period = Period(configuration, new(2026, 4, 21), new(2026, 4, 22), Line(120_000_000), levels: []);
        Assert.Equal(PitClosure.DoesNotClose, period.Reconciliation.Closure);
        Assert.Equal(2, period.Reconciliation.SuspectedErrors.Length);
        var meter = period.Reconciliation.SuspectedErrors.Single(it => it.Measurement == "the flow meter of line");
        Assert.Equal(1.2, meter.Measured / meter.EstimateFromOthers, 1e-9);
    }

    private static DateTimeOffset At(int hour) => new(2026, 4, 21, hour, 0, 0, TimeSpan.FromHours(-5));

    private static KeyValuePair<LineKey, LineAmounts> Line(long millilitres, AnalyteSums totalNitrogen = default) =>
        new(
            new("east", 2026, At(9).ToUnixTimeSeconds(), "line", "tank", ""),
            new()
            {
                VolumeMillilitres = millilitres,
                Intervals = 1,
                TotalNitrogen = totalNitrogen,
                Phosphorus = new(0, millilitres),
                AmmoniumNitrogen = new(0, millilitres),
                Potassium = new(0, millilitres),
                LastMeasuredAtMilliseconds = At(9).AddMinutes(30).ToUnixTimeMilliseconds(),
                AreaTravelledSquareCentimetres = 100_000_000,
            }
        );

    private static ReconciledPitPeriod Period(
        FarmConfiguration configuration,
        DateOnly from,
        DateOnly until,
        KeyValuePair<LineKey, LineAmounts>? line = null,
        IEnumerable<LevelAt>? levels = null
    )
    {
        var (start, end) = (configuration.Calendar!.StartOf(from), configuration.Calendar.StartOf(until));
        return ReconciledPitPeriod.Of(
            new(
                configuration,
                Pit,
                start,
                end,
                line is { } one ? [one] : [],
                CleanedLevels.Of(levels ?? [new(start, 3_000), new(end, 2_471)]),
                [],
                []
            )
        );
    }
}
