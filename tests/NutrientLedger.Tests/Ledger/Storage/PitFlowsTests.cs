using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Storage;
using NutrientLedger.Ledger.Weather;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>
/// Several measurements of the same kind of flow in one period: volumes add up, errors add up by their squares, each
/// with its source.
/// </summary>
public class PitFlowsTests
{
    private static readonly PitRegistered Pit = new("tank", "Tank", new RoundTank(20_000, 5_000), 4_500);

    // A round tank of 20 m has π/4 × 20² = 314.159 m² of open surface: a micrometre of depth is 314.159 mL.
    private const double MillilitresInAMicrometre = Math.PI * 100;

    [Fact]
    public void Evaporation_measured_in_parts_keeps_the_error_of_each_part()
    {
        var measured = Evaporation(
            Evaporated(0, 6, 1_000, new(300, DeviationSource.DataSheet)),
            Evaporated(6, 24, 3_000, new(400, DeviationSource.Judged))
        );
        Assert.Equal("evaporation", measured.Measurement);
        Assert.Equal(4_000 * MillilitresInAMicrometre, measured.Millilitres, 0.6);
        Assert.Equal(500 * MillilitresInAMicrometre, measured.DeviationMillilitres, 0.6);
        Assert.Equal("stated: data sheet; stated: judged by whoever measured", measured.KnownFrom);
    }

    /// <summary>The same pan was read twice, so its usual 20 % are one error in both.</summary>
    [Fact]
    public void Parts_that_state_no_error_share_the_usual_one()
    {
        var measured = Evaporation(Evaporated(0, 6, 1_000, null), Evaporated(6, 24, 3_000, null));
        Assert.Equal(0.2 * 4_000 * MillilitresInAMicrometre, measured.DeviationMillilitres, 0.6);
    }

    [Fact]
    public void A_part_of_the_day_that_nobody_measured_adds_the_error_of_what_was_not_measured()
    {
        var measured = Evaporation(Evaporated(0, 6, 1_000, new(300, DeviationSource.DataSheet)));
        Assert.Equal(1_000 * MillilitresInAMicrometre, measured.Millilitres, 0.6);
        // 4 mm a day over the remaining 18 hours are 3,000 micrometres.
        Assert.Equal(
            Math.Sqrt(300 * 300 + 3_000 * 3_000) * MillilitresInAMicrometre,
            measured.DeviationMillilitres,
            0.6
        );
        Assert.EndsWith("not measured", measured.KnownFrom, StringComparison.Ordinal);
    }

    [Fact]
    public void Unmeasured_evaporation_is_reported_as_not_counted_but_not_under_a_cover()
    {
        var open = Period();
        Assert.Equal("evaporation (not measured)", Assert.Single(open.Reconciliation.Input.Outflow).Measurement);
        Assert.Contains(new PitNote.EvaporationAssumedZero(), open.Notes);

        var covered = Period(new PitSurroundingsSet("R. Field", "tank", 0, 0, true, At(-24)));
        Assert.Empty(covered.Reconciliation.Input.Outflow);
        Assert.DoesNotContain(new PitNote.EvaporationAssumedZero(), covered.Notes);
    }

    /// <summary>
    /// 6 hours metered (3 m³ ± 0.3), 18 hours at 100 animals × 60 L a day (4.5 m³ ± 0.8 m³ a day × 0.75 = 0.6).
    /// </summary>
    [Fact]
    public void Metered_and_daily_inflow_of_one_day_each_keep_their_own_error()
    {
        var measured = Assert.Single(
            Period(
                new PitInflowMeasured(
                    "R. Field",
                    "tank",
                    InflowKind.Manure,
                    At(0),
                    At(6),
                    3_000_000,
                    new(300_000, DeviationSource.DataSheet)
                ),
                new DailyInflowSet(
                    "R. Field",
                    "tank",
                    InflowKind.Manure,
                    100,
                    60_000,
                    At(-24),
                    new(800_000, DeviationSource.Judged)
                )
            ).Reconciliation.Input.Inflow
        );
        Assert.Equal(7_500_000, measured.Millilitres);
        Assert.Equal(Math.Sqrt(0.3 * 0.3 + 0.6 * 0.6) * 1e6, measured.DeviationMillilitres, 0.6);
    }

    /// <summary>Arithmetic: 12 of the 24 metered hours lie in the day, so half the volume and half its error.</summary>
    [Fact]
    public void Inflow_metered_over_the_edge_of_a_period_counts_by_its_share_of_the_time()
    {
        var metered = new PitInflowMeasured(
            "R. Field",
            "tank",
            InflowKind.WashWater,
            At(-12),
            At(12),
            8_000_000,
            new(600_000, DeviationSource.DataSheet)
        );
        var measured = Assert.Single(Period(metered).Reconciliation.Input.Inflow);
        Assert.Equal((4_000_000, 300_000), (measured.Millilitres, measured.DeviationMillilitres));
    }

    /// <summary>
    /// Arithmetic: 10 mm of rain on 314.159 m² of pit, and a share of it from 1,000 m² of yard. That a fixed share of
    /// the rain runs off is common practice, no source.
    /// </summary>
    [Theory]
    [InlineData(600, false, 10 * (314.1593 + 600))]
    [InlineData(600, true, 10 * 600)]
    [InlineData(1_000, false, 10 * (314.1593 + 1_000))]
    [InlineData(0, false, 10 * 314.1593)]
    public void Of_the_rain_on_a_yard_the_share_that_runs_off_comes_into_the_pit(int share, bool covered, double litres)
    {
        var yard = new PitSurroundingsSet("R. Field", "tank", 1_000, share, covered, At(-24));
        RainTotal[] rain =
        [
            new("gauge", At(0).ToUnixTimeMilliseconds(), 0),
            new("gauge", At(24).ToUnixTimeMilliseconds(), 10_000),
        ];
        var measured = Assert.Single(Period(1, [yard], rain).Reconciliation.Input.Inflow);
        Assert.Equal("rain", measured.Measurement);
        Assert.Equal(litres * 1_000, measured.Millilitres, 1_000.0);
    }

    [Fact]
    public void Two_tape_readings_each_keep_their_own_error()
    {
        var tape = Period(
            Taped(1, new(3, DeviationSource.EstimatedFromData)),
            Taped(23, new(4, DeviationSource.Judged))
        ).Reconciliation.Input.Tape!;
        Assert.Equal(5_000 * MillilitresInAMicrometre, tape.DeviationMillilitres, 0.6);
        Assert.Equal("stated: estimated from data; stated: judged by whoever measured", tape.KnownFrom);
    }

    /// <summary>
    /// A season of 349 days with 13 m³ a day; no tape reading after the first of May. The tape says the same at both
    /// readings, so the pit gained the inflow before the first and after the last of them.
    /// </summary>
    [Fact]
    public void A_tape_reading_far_from_the_end_of_a_season_adds_what_ran_in_since()
    {
        IJournalEvent[] recorded =
        [
            new DailyInflowSet("R. Field", "tank", InflowKind.Manure, 200, 65_000, At(-24), null),
            Taped(0, new(3, DeviationSource.Judged)),
            Taped(24 * 10, new(3, DeviationSource.Judged)),
        ];
        var tape = Period(349, recorded).Reconciliation.Input.Tape!;
        Assert.Equal(-13.0 * (349 - 10), tape.DrawnDownMillilitres / 1e6, 1e-5);
    }

    /// <summary>
    /// Arithmetic: 12 m³ a day run in evenly. A tape at 06:00 reads 3 m³ more than the volume at midnight. One at 20:00
    /// reads 2 m³ less than at the next midnight.
    /// </summary>
    [Fact]
    public void What_ran_in_before_the_first_tape_was_not_there_at_the_beginning()
    {
        var tape = Period(
            new DailyInflowSet("R. Field", "tank", InflowKind.Manure, 200, 60_000, At(-24), null),
            Taped(6, new(3, DeviationSource.Judged)),
            Taped(20, new(3, DeviationSource.Judged))
        ).Reconciliation.Input.Tape!;
        var taped = 3 * Math.PI * 100;
        Assert.Equal(taped - 3, tape.StartMillilitres / 1e6, 1e-5);
        Assert.Equal(taped + 2, tape.EndMillilitres / 1e6, 1e-5);
    }

    private static MeasuredVolume Evaporation(params IJournalEvent[] events) =>
        Assert.Single(Period(events).Reconciliation.Input.Outflow);

    private static EvaporationMeasured Evaporated(int from, int until, long micrometres, StatedDeviation? stated) =>
        new("R. Field", "tank", At(from), At(until), micrometres, stated);

    private static LevelTaped Taped(int hour, StatedDeviation stated) =>
        new("R. Field", At(hour), "tank", 5_000, 2_000, 90_000, stated);

    private static DateTimeOffset At(int hour) =>
        new DateTimeOffset(2026, 4, 21, 0, 0, 0, TimeSpan.FromHours(-5)).AddHours(hour);

    private static ReconciledPitPeriod Period(params IJournalEvent[] events) => Period(1, events);

    private static ReconciledPitPeriod Period(int days, IJournalEvent[] events, params RainTotal[] rain)
    {
        var configuration = events.Aggregate(
            FarmConfiguration
                .Empty.With(
                    new FarmRegistered("Test", "America/Chicago", 10, 1, new(2025, 10, 1), new CoverageGrid(90, 124))
                )
                .With(Pit),
            (so, @event) => so.With(@event)
        );
        var (start, end) = (At(0).ToUnixTimeMilliseconds(), At(24 * days).ToUnixTimeMilliseconds());
        var levels = CleanedLevels.Of([new(start, 3_000), new(end, 3_000)]);
        return ReconciledPitPeriod.Of(new(configuration, Pit, start, end, [], levels, rain, []));
    }
}
