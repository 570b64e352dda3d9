using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Meters;

namespace NutrientLedger.Tests.Ledger.Meters;

/// <summary>What a meter counted between readings that were received, from the ends of received runs.</summary>
public class MeterInterruptionsTests
{
    private const long CubicMetre = 1_000_000;

    [Fact]
    public void What_a_meter_counted_between_two_boots_is_metered_from_the_source_in_force()
    {
        var between = Assert.Single(Of(Run(1, 0, 1_000_000_000), Run(2, 30, 1_040_600_000)));

        Assert.Equal((TotalChange.Rise, 40_600_000, 0), Said(between));
        Assert.Equal((2026, 2026, Some.Pit), (between.Season, between.LastSeason, Assert.Single(between.Pits)));
        Assert.False(between.IsGap);
    }

    [Fact]
    public void Boots_follow_each_other_by_measured_time_and_runs_of_a_boot_by_number()
    {
        var between = Of(Run(1, 90, 3_000, seq: 100), Run(7, 0, 1_000), Run(1, 60, 2_000, seq: 50));

        Assert.Equal(
            [(7, 1, 1_000L), (1, 1, 1_000L)],
            between.Select(one => ((int)one.Before.Boot, (int)one.After.Boot, one.Millilitres!.Value))
        );
        Assert.Equal([false, true], between.Select(one => one.IsGap));
    }

    [Fact]
    public void A_boot_whose_clock_was_not_set_at_its_start_keeps_its_place()
    {
        var unset = new ReceivedRun(Some.DragLine, 2, 1, 99, Reading(-43_200, 1_000), Reading(60, 6_000));

        var between = Of(Run(1, 30, 1_000), unset, Run(3, 90, 6_500));

        Assert.Equal([0L, 500L], between.Select(one => one.Millilitres!.Value));
        Assert.All(between, one => Assert.Equal(0, one.Difference.StepMillilitres));
    }

    /// <summary>Counters that wrap are read across by their modulus (common practice, no source).</summary>
    [Fact]
    public void A_roll_over_is_unfolded_and_named_as_a_step()
    {
        var between = Assert.Single(Of(1000 * CubicMetre, Run(1, 0, 990 * CubicMetre), Run(2, 30, 20 * CubicMetre)));

        Assert.Equal((TotalChange.RollOver, 30 * CubicMetre, -1000 * CubicMetre), Said(between));
    }

    [Theory]
    [InlineData(null)]
    [InlineData(10_000 * CubicMetre)]
    public void A_meter_that_was_reset_overnight_has_not_rolled_over(long? modulus)
    {
        var between = Assert.Single(Of(modulus, Run(1, 0, 5_000 * CubicMetre), Run(2, 720, 3 * CubicMetre)));

        Assert.Equal((TotalChange.Fall, null, -4_997 * CubicMetre), Said(between));
    }

    /// <summary>500 L/s for at most a day are 43,200 m³.</summary>
    [Theory]
    [InlineData(1, 30, TotalChange.Rise)]
    [InlineData(1, 31, TotalChange.Leap)]
    [InlineData(100_000, 43_200, TotalChange.Rise)]
    [InlineData(100_000, 43_201, TotalChange.Leap)]
    public void A_rise_counts_up_to_what_can_have_run(int minutes, long cubicMetres, TotalChange change)
    {
        var between = Assert.Single(Of(Run(1, 0, 0), Run(2, minutes, cubicMetres * CubicMetre)));

        Assert.Equal(change, between.Difference.Change);
        Assert.Equal(change == TotalChange.Rise ? cubicMetres * CubicMetre : null, between.Millilitres);
    }

    [Fact]
    public void The_two_sides_of_a_spike_are_steps_that_cancel_to_what_ran()
    {
        var between = Of(Run(1, 0, 25_000 * CubicMetre), Run(2, 300, 0), Run(3, 600, 25_002 * CubicMetre));

        Assert.All(between, one => Assert.Equal((TotalChange.Spike, null), (one.Difference.Change, one.Millilitres)));
        Assert.Equal(2 * CubicMetre, between.Sum(one => one.Difference.StepMillilitres));
    }

    [Fact]
    public void A_run_that_ends_in_a_spike_gives_no_volume_to_what_follows()
    {
        var ends = new ReceivedRun(Some.DragLine, 1, 1, 9, Reading(0, 25_000 * CubicMetre), Reading(1, 0));

        var between = Assert.Single(Of(ends, Run(2, 600, 25_002 * CubicMetre)));

        Assert.Equal((TotalChange.Spike, null, 25_002 * CubicMetre), Said(between));
    }

    [Fact]
    public void Without_a_total_on_both_sides_the_volume_is_unknown()
    {
        var without = Run(2, 30, 0) with { First = Reading(30, null) };

        Assert.Equal((TotalChange.NoTotal, null, 0), Said(Assert.Single(Of(Run(1, 0, 0), without))));
    }

    [Fact]
    public void Beside_a_void_reading_or_a_questionable_time_the_volume_is_unknown()
    {
        var @void = new ReadingsVoided(
            "v",
            Some.DragLine,
            TelemetryStream.Spread,
            1,
            1,
            1,
            VoidedPart.Reading,
            "Rinsed",
            "Ada Ash"
        );
        ReceivedRun[] runs = [Run(1, 0, 0), Run(2, 30, 5 * CubicMetre)];

        var beside = Assert.Single(Of([@void], runs));
        var early = Assert.Single(Of([], [Run(1, -600_000, 0), runs[1]]));

        Assert.Equal((TotalChange.NotCounted, null, 0), Said(beside));
        Assert.Equal((TotalChange.NotCounted, null, 0), Said(early));
    }

    [Fact]
    public void A_decided_total_and_a_decided_clock_count_as_decided()
    {
        var total = new ReadingsVoided(
            "v",
            Some.DragLine,
            TelemetryStream.Spread,
            1,
            1,
            1,
            VoidedPart.Total,
            "Dropped",
            "Ada Ash",
            new(100 * CubicMetre, 0)
        );
        var clock = new QuestionableTimeDecided(
            Some.DragLine,
            TelemetryStream.Spread,
            2,
            1,
            1,
            TimeDecision.Shifted,
            -3_600_000,
            "An hour ahead",
            "Ada Ash"
        );

        var between = Assert.Single(Of([total, clock], [Run(1, 0, 0), Run(2, 90, 103 * CubicMetre)]));

        Assert.Equal(3 * CubicMetre, between.Millilitres);
        Assert.Equal(30 * 60_000, between.UntilMilliseconds - between.FromMilliseconds);
    }

    [Fact]
    public void Where_season_or_source_changed_meanwhile_it_says_which_it_may_belong_to()
    {
        var autumn = (int)(new DateTimeOffset(2026, 9, 30, 12, 0, 0, default) - Some.Morning).TotalMinutes;
        var source = Some.Source("south-pit", Some.Morning.AddMinutes(autumn + 60));

        var between = Assert.Single(Of([source], [Run(1, autumn, 0), Run(2, autumn + 2_880, 7 * CubicMetre)]));

        Assert.Equal((2026, 2027), (between.Season, between.LastSeason));
        Assert.Equal([Some.Pit, "south-pit"], between.Pits.AsEnumerable());
        Assert.Equal(new(7 * CubicMetre, 7 * CubicMetre, 0), MeteredBetween.InSeason([between], 2026));
        Assert.Equal(new(0, 7 * CubicMetre, 0), MeteredBetween.InSeason([between], 2027));
        Assert.Equal(MeteredBetween.None, MeteredBetween.InSeason([between], 2025));
        Assert.Equal(new(7 * CubicMetre, 7 * CubicMetre, 0), MeteredBetween.FromPit([between], Some.Pit, 2026));
        Assert.Equal(new(0, 7 * CubicMetre, 0), MeteredBetween.FromPit([between], "south-pit", 2026));
        Assert.Equal(MeteredBetween.None, MeteredBetween.FromPit([between], "west-pit", 2026));
    }

    [Fact]
    public void A_season_counts_the_interruptions_whose_volume_is_unknown()
    {
        var between = Of(Run(1, 0, 100), Run(2, 30, 50), Run(3, 60, 70));

        Assert.Equal(new(20, 0, 1), MeteredBetween.InSeason(between, 2026));
    }

    [Fact]
    public void Equipment_that_is_no_registered_applicator_has_none() =>
        Assert.Empty(Of(Run(1, 0, 0) with { ApplicatorId = "other" }, Run(2, 30, 5) with { ApplicatorId = "other" }));

    private static (TotalChange, long?, long) Said(MeterInterruption between) =>
        (between.Difference.Change, between.Difference.Millilitres, between.Difference.StepMillilitres);

    private static ImmutableArray<MeterInterruption> Of(params ReceivedRun[] runs) => Of([], runs);

    private static ImmutableArray<MeterInterruption> Of(long? modulus, params ReceivedRun[] runs) =>
        Of([Some.Applicator(modulus: modulus)], runs);

    private static ImmutableArray<MeterInterruption> Of(IJournalEvent[] events, ReceivedRun[] runs) =>
        MeterInterruptions.Of(Some.Configuration([.. Some.ConfigurationEvents(), .. events]), runs, Some.Recorded);

    /// <summary>A run of one reading, so many minutes after the morning.</summary>
    private static ReceivedRun Run(long boot, int minutes, long total, long seq = 1) =>
        new(Some.DragLine, boot, seq, seq, Reading(minutes, total), Reading(minutes, total));

    private static SpreadReading Reading(int minutes, long? total) =>
        Some.DragLineReading(Some.Morning.AddMinutes(minutes).ToUnixTimeMilliseconds(), total);
}
