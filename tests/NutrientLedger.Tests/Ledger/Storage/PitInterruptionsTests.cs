using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>What meters counted between readings is a flow of its own in a pit's balance.</summary>
public class PitInterruptionsTests
{
    private const long CubicMetre = 1_000_000;
    private static readonly DateTimeOffset Midnight = new(2026, 4, 21, 0, 0, 0, TimeSpan.FromHours(-5));
    private static readonly PitRegistered Pit = new("tank", "Tank", new RoundTank(20_000, 5_000), 4_500);

    private static readonly FarmConfiguration Farm = new IJournalEvent[]
    {
        new FarmRegistered("Test", "America/Chicago", 10, 1, new(2025, 10, 1), new CoverageGrid(90, 124)),
        Pit,
        new PitSurroundingsSet("R. Field", "tank", 0, 0, Covered: true, Midnight.AddDays(-1)),
    }.Aggregate(FarmConfiguration.Empty, (configuration, @event) => configuration.With(@event));

    [Fact]
    public void What_ran_within_the_period_counts_whole_with_the_meters_own_error()
    {
        var period = Period([Between(6, 8, 40 * CubicMetre)]);
        var flow = Assert.Single(period.Reconciliation.Input.Outflow);

        Assert.Equal("the flow meter of line between readings", flow.Measurement);
        Assert.Equal(40 * CubicMetre, flow.Millilitres);
        Assert.Equal(Usual(PitMeasurement.FlowMeter) * 40e6, flow.DeviationMillilitres, 1);
        Assert.Equal(40 * CubicMetre, period.BetweenReadingsMillilitres);
        Assert.Equal(Period([]).Reconciliation.Input.UnexplainedMillilitres - 40 * CubicMetre, Unexplained(period));
        Assert.DoesNotContain(period.Notes, note => note is PitNote.NothingDrawn or PitNote.BetweenSplit);
    }

    /// <summary>
    /// A quarter of its time lies in the day, so the expected volume is a quarter of 40 m³. The standard deviation is
    /// that of one draw with this chance (Bernoulli): 40 m³ · √(¼ · ¾) = 17.32 m³.
    /// </summary>
    [Fact]
    public void What_lies_on_both_sides_of_midnight_is_shared_out_by_time_with_the_error_of_not_knowing_when()
    {
        var between = Between(-6, 2, 40 * CubicMetre);
        var period = Period([between]);
        var flow = Assert.Single(period.Reconciliation.Input.Outflow);

        Assert.Equal(10 * CubicMetre, flow.Millilitres);
        Assert.Equal(17_320_508, flow.DeviationMillilitres, 20_000.0);
        Assert.EndsWith("; when it ran is unknown", flow.KnownFrom, StringComparison.Ordinal);
        Assert.Equal(new PitNote.BetweenSplit(40, 10), Assert.Single(period.Notes.OfType<PitNote.BetweenSplit>()));
        Assert.Equal(30 * CubicMetre, Period([between], Midnight.AddDays(-1)).BetweenReadingsMillilitres);
    }

    [Fact]
    public void A_level_that_falls_while_the_meter_counted_between_readings_is_no_leak()
    {
        // The tank is 20 m wide: 200 mm are 62.8 m³.
        LevelAt[] levels =
        [
            .. Enumerable.Range(0, 49).Select(half => Level(half, half < 8 ? 3_000 - 25 * half : 2_800)),
        ];

        Assert.NotNull(Period([], levels: levels).MovedWhileIdle);
        Assert.Null(Period([Between(0, 4, 62_832_000)], levels: levels).MovedWhileIdle);
    }

    /// <summary>A loss before the meter would act on the same balance in the same way.</summary>
    [Fact]
    public void A_day_that_does_not_close_is_not_blamed_on_what_ran_between_readings()
    {
        // 3,000 to 2,000 mm of a tank 20 m wide are 314 m³, of which 3 m³ were metered.
        LevelAt[] levels =
        [
            new(Midnight.ToUnixTimeMilliseconds(), 3_000),
            new(Midnight.AddDays(1).ToUnixTimeMilliseconds(), 2_000),
        ];

        var period = Period([Between(6, 8, 3 * CubicMetre)], levels: levels);

        Assert.Equal(PitClosure.DoesNotClose, period.Reconciliation.Closure);
        Assert.DoesNotContain(
            period.Reconciliation.SuspectedErrors,
            error => error.Measurement == "the flow meter of line between readings"
        );
    }

    [Fact]
    public void A_tape_read_before_it_ran_is_brought_to_the_end_of_the_day()
    {
        var taped = Farm.With(Tape(1, 3_000)).With(Tape(6, 3_000));
        var none = Period([], configuration: taped).Reconciliation.Input.Tape!;

        var tape = Period([Between(8, 10, 40 * CubicMetre)], configuration: taped).Reconciliation.Input.Tape!;

        Assert.Equal(none.EndMillilitres - 40 * CubicMetre, tape.EndMillilitres);
        Assert.Equal(none.DeviationMillilitres, tape.DeviationMillilitres);
    }

    [Fact]
    public void Where_the_source_changed_meanwhile_it_is_in_no_balance_and_the_notes_say_so()
    {
        var period = Period([Between(6, 8, 40 * CubicMetre) with { Pits = ["tank", "lagoon"] }]);

        Assert.Empty(period.Reconciliation.Input.Outflow);
        Assert.Contains(new PitNote.BetweenPits(40), period.Notes);
    }

    [Fact]
    public void Without_a_recorded_source_it_counts_as_from_no_pit()
    {
        var period = Period([Between(6, 8, 40 * CubicMetre) with { Pits = [""] }]);

        Assert.Empty(period.Reconciliation.Input.Outflow);
        Assert.Equal(40, period.BetweenFromNoPitCubicMetres);
        Assert.Contains(new PitNote.SourceUnknown("line"), period.Notes);
    }

    [Fact]
    public void What_is_unknown_is_counted_in_the_notes()
    {
        var unknown = Between(6, 8, 0) with { Difference = new(TotalChange.Fall, null, -5) };

        Assert.Contains(new PitNote.BetweenUnknown(1), Period([unknown]).Notes);
        Assert.DoesNotContain(Period([unknown], Midnight.AddDays(-1)).Notes, note => note is PitNote.BetweenUnknown);
        Assert.Contains(new PitNote.BetweenNotKnown(), Period(null).Notes);
    }

    private static double Usual(PitMeasurement of) => PitDeviations.Default(of).Size;

    private static long? Unexplained(ReconciledPitPeriod period) => period.Reconciliation.Input.UnexplainedMillilitres;

    private static LevelAt Level(int half, int millimetres) =>
        new(Midnight.AddMinutes(30 * half).ToUnixTimeMilliseconds(), millimetres);

    private static LevelTaped Tape(int hour, int millimetres) =>
        new("R. Field", Midnight.AddHours(hour), "tank", 10_000, 10_000 - millimetres, 90_000, null);

    private static MeterInterruption Between(int fromHour, int untilHour, long millilitres) =>
        new(
            "line",
            new(1, 10, Midnight.AddHours(fromHour).ToUnixTimeMilliseconds(), 0),
            new(2, 1, Midnight.AddHours(untilHour).ToUnixTimeMilliseconds(), millilitres),
            new(TotalChange.Rise, millilitres, 0),
            2026,
            2026,
            ["tank"]
        );

    private static ReconciledPitPeriod Period(
        MeterInterruption[]? interruptions,
        DateTimeOffset? from = null,
        LevelAt[]? levels = null,
        FarmConfiguration? configuration = null
    )
    {
        var start = (from ?? Midnight).ToUnixTimeMilliseconds();
        var end = start + 86_400_000;
        return ReconciledPitPeriod.Of(
            new(
                configuration ?? Farm,
                Pit,
                start,
                end,
                [],
                CleanedLevels.Of(levels ?? [new(start, 3_000), new(end, 2_900)]),
                [],
                interruptions
            )
        );
    }
}
