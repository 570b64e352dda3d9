using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>A tank of 314 m² whose level and tape are 20 cm apart, 62.8 m³, over two days; nothing is drawn.</summary>
public class ReconciledDaysTests
{
    private static readonly PitRegistered Pit = new("tank", "Tank", new RoundTank(20_000, 5_000), 4_500);

    private static readonly FarmConfiguration Farm = FarmConfiguration
        .Empty.With(new FarmRegistered("Test", "America/Chicago", 10, 1, new(2025, 10, 1), new CoverageGrid(90, 124)))
        .With(Pit)
        .With(
            new DailyInflowSet(
                "R. Field",
                "tank",
                InflowKind.Manure,
                100,
                60_000,
                new(2025, 10, 1, 5, 0, 0, TimeSpan.Zero),
                null
            )
        );

    private static readonly DateOnly First = new(2026, 4, 21);
    private static readonly long Start = Farm.Calendar!.StartOf(First);
    private static readonly long Noon = Start + 43_200_000;
    private static readonly long Next = Farm.Calendar!.StartOf(First.AddDays(1));
    private static readonly long End = Farm.Calendar!.StartOf(First.AddDays(2));

    [Fact]
    public void Days_that_are_over_and_the_whole_get_their_result()
    {
        var pit = Reconciled(End);

        Assert.Equal([First, First.AddDays(1)], pit.Days.Select(day => day.Day));
        Assert.All(pit.Days, day => Assert.True(day.IsOver));
        Assert.True(pit.Whole.IsOver);
        Assert.Equal(PitClosure.DoesNotClose, pit.Days[0].Closure);
        Assert.InRange(pit.Days[0].Chance!.Value, 0, 0.001);
        Assert.Equal((Start, End), (pit.Whole.Statement.Period.From, pit.Whole.Statement.Period.Until));
        Assert.Equal((Next, End), (pit.Days[1].Statement.Period.From, pit.Days[1].Statement.Period.Until));
        Assert.Equal(End, pit.CalculatedToMilliseconds);
    }

    [Fact]
    public void A_day_that_is_not_over_runs_up_to_now_without_a_result_and_one_not_begun_is_left_out()
    {
        var pit = Reconciled(Noon);

        var day = Assert.Single(pit.Days);
        Assert.False(day.IsOver);
        Assert.Equal((Start, Noon), (day.Statement.Period.From, day.Statement.Period.Until));
        // The measurements of the day so far contradict each other; the day has no result yet.
        Assert.Equal(PitClosure.DoesNotClose, day.Statement.Reconciliation.Closure);
        Assert.Null(day.Closure);
        Assert.Null(day.Chance);
        Assert.Null(pit.Whole.Closure);
        Assert.Equal(Noon, pit.Whole.Statement.Period.Until);
        Assert.Equal(Noon, pit.CalculatedToMilliseconds);
    }

    [Fact]
    public void At_midnight_a_day_is_over_and_the_next_one_has_not_begun()
    {
        var pit = Reconciled(Next);

        Assert.True(Assert.Single(pit.Days).IsOver);
        Assert.False(pit.Whole.IsOver);
    }

    [Fact]
    public void A_pit_that_cannot_be_checked_has_no_chance()
    {
        var pit = ReconciledDays.Of(Farm, Pit, First, First.AddDays(1), End, [], CleanedLevels.Of([]), [], []);

        Assert.Equal(PitClosure.CannotTell, pit.Whole.Closure);
        Assert.Null(pit.Whole.Chance);
    }

    [Fact]
    public void Levels_are_counted_where_they_lie_in_the_period()
    {
        var whole = Reconciled(End);

        Assert.Equal(3, whole.Days[0].Statement.LevelsKept);
        Assert.Equal(0, whole.Days[0].Statement.LevelsLeftOut);
    }

    [Fact]
    public void Sums_are_of_all_that_flowed()
    {
        var input = new PitBalanceInput(
            new("level", 1_000, 900, 1, "test"),
            null,
            [new("rain", 5, 1, "test"), new("manure", 7, 1, "test")],
            [new("load", 11, 1, "test"), new("evaporation", 13, 1, "test")],
            [new(new("meter a", 17, 1, "test"), null), new(new("meter b", 19, 1, "test"), null)]
        );

        Assert.Equal((12, 24, 36), (input.InflowMillilitres, input.OutflowMillilitres, input.DrawnMillilitres));
        Assert.Equal(1_000 + 12 - 24 - 36 - 900, input.UnexplainedMillilitres);
    }

    private static ReconciledDays Reconciled(long now) =>
        ReconciledDays.Of(
            Farm,
            Pit,
            First,
            First.AddDays(2),
            now,
            [],
            CleanedLevels.Of([
                new(Start, 3_000),
                new(Start + 3_600_000, 3_000),
                new(Noon, 3_200),
                new(Next, 3_400),
                new(End, 3_800),
            ]),
            [],
            []
        );
}
