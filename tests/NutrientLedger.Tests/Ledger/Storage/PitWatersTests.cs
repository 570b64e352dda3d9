using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>Several records of the same water in one period: volumes add up, errors add up by their squares, each known from where it says.</summary>
public class PitWatersTests
{
    private static readonly PitRegistered Pit = new("tank", "Tank", new RoundTank(20_000, 5_000), 4_500);

    // A round tank of 20 m has π/4 × 20² = 314.159 m² of open surface: a micrometre of depth is 314.159 mL.
    private const double MillilitresInAMicrometre = Math.PI * 100;

    [Fact]
    public void Evaporation_measured_in_parts_keeps_the_error_of_each_part()
    {
        var told = Evaporation(
            Evaporated(0, 6, 1_000, new(300, DeviationSource.DataSheet)),
            Evaporated(6, 24, 3_000, new(400, DeviationSource.Judged))
        );
        Assert.Equal("evaporation", told.Witness);
        Assert.Equal(4_000 * MillilitresInAMicrometre, told.Millilitres, 0.6);
        Assert.Equal(500 * MillilitresInAMicrometre, told.DeviationMillilitres, 0.6);
        Assert.Equal("stated: data sheet; stated: judged by whoever measured", told.KnownFrom);
    }

    /// <summary>The same pan was read twice, so its usual 20 % are the same 20 % in both.</summary>
    [Fact]
    public void Parts_that_state_no_error_share_the_usual_one()
    {
        var told = Evaporation(Evaporated(0, 6, 1_000, null), Evaporated(6, 24, 3_000, null));
        Assert.Equal(0.2 * 4_000 * MillilitresInAMicrometre, told.DeviationMillilitres, 0.6);
    }

    [Fact]
    public void A_part_of_the_day_that_nobody_measured_adds_the_error_of_what_was_not_measured()
    {
        var told = Evaporation(Evaporated(0, 6, 1_000, new(300, DeviationSource.DataSheet)));
        Assert.Equal(1_000 * MillilitresInAMicrometre, told.Millilitres, 0.6);
        // 4 mm a day over the 18 hours left are 3,000 micrometres.
        Assert.Equal(Math.Sqrt(300 * 300 + 3_000 * 3_000) * MillilitresInAMicrometre, told.DeviationMillilitres, 0.6);
        Assert.EndsWith("nobody measured", told.KnownFrom, StringComparison.Ordinal);
    }

    [Fact]
    public void Evaporation_that_nobody_measured_is_said_to_be_not_reckoned_but_not_under_a_cover()
    {
        var open = Statement();
        Assert.Equal("evaporation (not measured)", Assert.Single(open.Reconciliation.Story.Outflow).Witness);
        Assert.Contains(open.Notes, note => note.StartsWith("Evaporation was not measured", StringComparison.Ordinal));

        var covered = Statement(new PitSurroundingsSet("R. Field", "tank", 0, 0, true, At(-24)));
        Assert.Empty(covered.Reconciliation.Story.Outflow);
        Assert.DoesNotContain(covered.Notes, note => note.Contains("vaporation", StringComparison.Ordinal));
    }

    /// <summary>6 hours metered (3 m³ ± 0.3), 18 hours at 100 animals × 60 L a day (4.5 m³ ± 0.8 m³ a day × 0.75 = 0.6).</summary>
    [Fact]
    public void Metered_and_daily_inflow_of_one_day_each_keep_their_own_error()
    {
        var told = Assert.Single(
            Statement(
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
            ).Reconciliation.Story.Inflow
        );
        Assert.Equal(7_500_000, told.Millilitres);
        Assert.Equal(Math.Sqrt(0.3 * 0.3 + 0.6 * 0.6) * 1e6, told.DeviationMillilitres, 0.6);
    }

    [Fact]
    public void Two_tape_readings_each_keep_their_own_error()
    {
        var tape = Statement(
            Taped(1, new(3, DeviationSource.EstimatedFromData)),
            Taped(23, new(4, DeviationSource.Judged))
        ).Reconciliation.Story.Tape!;
        Assert.Equal(5_000 * MillilitresInAMicrometre, tape.DeviationMillilitres, 0.6);
        Assert.Equal("stated: estimated from data; stated: judged by whoever measured", tape.KnownFrom);
    }

    /// <summary>
    /// A season of 349 days with 13 m³ a day: from the first of May on nothing is taped. The tape says the same at both readings, so the pit
    /// gained what ran in before the first and after the last of them.
    /// </summary>
    [Fact]
    public void A_tape_reading_far_from_the_end_of_a_season_adds_what_ran_in_since()
    {
        IEntry[] recorded =
        [
            new DailyInflowSet("R. Field", "tank", InflowKind.Manure, 200, 65_000, At(-24), null),
            Taped(0, new(3, DeviationSource.Judged)),
            Taped(24 * 10, new(3, DeviationSource.Judged)),
        ];
        var tape = Statement(349, recorded).Reconciliation.Story.Tape!;
        Assert.Equal(-13.0 * (349 - 10), tape.DrawnDownMillilitres / 1e6, 1e-5);
    }

    private static ToldVolume Evaporation(params IEntry[] entries) =>
        Assert.Single(Statement(entries).Reconciliation.Story.Outflow);

    private static EvaporationMeasured Evaporated(int from, int until, long micrometres, StatedDeviation? stated) =>
        new("R. Field", "tank", At(from), At(until), micrometres, stated);

    private static LevelTaped Taped(int hour, StatedDeviation stated) =>
        new("R. Field", At(hour), "tank", 5_000, 2_000, 90_000, stated);

    private static DateTimeOffset At(int hour) =>
        new DateTimeOffset(2026, 4, 21, 0, 0, 0, TimeSpan.FromHours(-5)).AddHours(hour);

    private static PitStatement Statement(params IEntry[] entries) => Statement(1, entries);

    private static PitStatement Statement(int days, IEntry[] entries)
    {
        var register = entries.Aggregate(
            Register
                .Empty.With(
                    new FarmRegistered("Test", "America/Chicago", 10, 1, new(2025, 10, 1), new CoverageLattice(90, 124))
                )
                .With(Pit),
            (so, entry) => so.With(entry)
        );
        var (start, end) = (At(0).ToUnixTimeMilliseconds(), At(24 * days).ToUnixTimeMilliseconds());
        var levels = CleanedLevels.Of([new(start, 3_000), new(end, 3_000)]);
        return PitStatement.Of(new(register, Pit, start, end, [], levels, []));
    }
}
