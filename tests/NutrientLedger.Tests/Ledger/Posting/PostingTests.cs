using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Posting;

public class PostingTests
{
    private static readonly FarmConfiguration Usual = Some.Configuration(Some.ConfigurationEvents());

    [Fact]
    public void A_pass_over_a_field_becomes_one_line_with_its_volume_area_and_weighted_sums()
    {
        var (key, amounts) = Assert.Single(Post(Usual, new Pass(11)).Lines);

        Assert.Equal(new(Some.West, 2026, Some.Morning.ToUnixTimeSeconds(), Some.DragLine, Some.Pit, Some.Sensor), key);
        Assert.Equal(300_000, amounts.VolumeMillilitres);
        Assert.Equal(10, amounts.Intervals);
        Assert.Equal(Some.Morning.ToUnixTimeMilliseconds() + 10_000, amounts.LastMeasuredAtMilliseconds);
        Assert.Equal(new AnalyteSums(300_000L * 4_000, 0), amounts.TotalNitrogen);
        Assert.Equal(new AnalyteSums(300_000L * 60_000, 0), amounts.DryMatter);
        // 180 steps of 1e-7 degree north at 42 degrees are 1.9993 m (111 072 m a degree there), ten of them 9 m wide
        // 179.94 m².
        Assert.InRange(amounts.AreaTravelledSquareCentimetres, 1_799_000, 1_799_800);
    }

    [Fact]
    public void Covered_cells_add_up_to_the_area_travelled_when_nothing_overlaps()
    {
        var accumulator = Post(Usual, new Pass(61));

        var rows = Assert.Single(accumulator.Coverage());
        var travelled = Assert.Single(accumulator.Lines).Value.AreaTravelledSquareCentimetres / 1e4;
        Assert.InRange(rows.CoveredSquareMetres(Some.Grid) / travelled, 0.97, 1.03);
        Assert.Equal(0, rows.OverlappedSquareMetres(Some.Grid));
    }

    [Fact]
    public void A_second_pass_over_the_same_ground_overlaps_and_covers_nothing_new()
    {
        var once = Assert.Single(Post(Usual, new Pass(61)).Coverage());
        var again = new Pass(61) { Start = Some.Morning.AddMinutes(5) };
        var accumulator = Some.Posted(
            Usual,
            Some.Batch(new Pass(61).Drive()),
            Some.Batch(again.Drive(), firstSeq: 100)
        );
        var twice = Assert.Single(accumulator.Coverage());

        Assert.Equal(once.CoveredSquareMetres(Some.Grid), twice.CoveredSquareMetres(Some.Grid));
        Assert.Equal(twice.CoveredSquareMetres(Some.Grid), twice.OverlappedSquareMetres(Some.Grid));
    }

    [Fact]
    public void A_meter_that_rolls_over_loses_nothing()
    {
        var configuration = Some.Configuration([.. Some.ConfigurationEvents(), Some.Applicator(modulus: 1_100_000)]);

        var amounts = Only(configuration, Falling(at: 5, to: total => total - 1_100_000));

        Assert.Equal((300_000, 0), (amounts.VolumeMillilitres, amounts.UnknownIntervals));
    }

    [Fact]
    public void A_reset_meter_leaves_one_unknown_interval_on_the_line_without_field()
    {
        var accumulator = Post(Usual, Falling(at: 5, to: total => total - 1_100_000));

        Assert.Equal(270_000, accumulator.Lines.Single(line => line.Key.FieldId == Some.West).Value.VolumeMillilitres);
        Assert.Equal(
            LineAmounts.None with
            {
                UnknownIntervals = 1,
            },
            accumulator.Lines.Single(line => line.Key.FieldId.Length == 0).Value
        );
    }

    [Fact]
    public void Flow_fills_in_where_the_meter_has_no_total()
    {
        var amounts = Only(Usual, new Pass(11) { Change = (_, reading) => reading with { TotalMillilitres = null } });

        Assert.Equal(300_000, amounts.VolumeMillilitres);
    }

    [Fact]
    public void Volume_metered_across_a_gap_in_time_or_place_is_kept_but_not_placed()
    {
        var silent = new Pass(3) { StepMilliseconds = 10_001 };
        var leaping = new Pass(3) { NorthE7 = 1_400 };

        Assert.Equal(LineAmounts.None with { NotPlacedMillilitres = 60_000 }, Only(Usual, silent));
        Assert.Equal(LineAmounts.None with { NotPlacedMillilitres = 60_000 }, Only(Usual, leaping));
    }

    [Fact]
    public void A_meter_that_counts_filling_draws_from_the_pit_and_spreads_nowhere()
    {
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Applicator(counts: MeterCounts.Filling),
        ]);

        var (key, amounts) = Assert.Single(Post(configuration, new Pass(11)).Lines);

        Assert.Equal(("", Some.Pit), (key.FieldId, key.PitId));
        Assert.Equal(LineAmounts.None with { NotPlacedMillilitres = 300_000 }, amounts);
    }

    [Fact]
    public void A_raised_tool_spreads_nothing_and_a_missing_signal_means_lowered()
    {
        var raised = new Pass(11) { Change = (_, reading) => reading with { Engaged = false } };
        var silent = new Pass(11) { Change = (_, reading) => reading with { Engaged = null } };

        var expected = LineAmounts.None with
        {
            DisengagedMillilitres = 300_000,
            Flagged = FlaggedParts.None.With(
                FlagRule.FlowWhileDisengaged,
                default(FlaggedSums) with
                {
                    Intervals = 10,
                    Millilitres = 300_000,
                }
            ),
        };
        Assert.Equal(expected, Only(Usual, raised));
        Assert.Empty(Post(Usual, raised).Tiles);
        Assert.Equal(300_000, Only(Usual, silent).VolumeMillilitres);
    }

    [Fact]
    public void Volume_spread_outside_all_fields_is_on_the_line_without_field_and_covers_no_field()
    {
        var accumulator = Post(Usual, new Pass(11) { From = new(430_000_000, -935_000_000) });

        var (key, amounts) = Assert.Single(accumulator.Lines);
        Assert.Equal(("", 300_000), (key.FieldId, amounts.VolumeMillilitres));
        Assert.Empty(accumulator.Tiles);
    }

    [Fact]
    public void A_pass_along_the_shared_border_belongs_to_one_field_only()
    {
        var border = Some.Corner with { LongitudeE7 = Some.Corner.LongitudeE7 + Some.SideE7 };

        var (key, _) = Assert.Single(Post(Usual, new Pass(11) { From = border }).Lines);

        Assert.Equal(Some.East, key.FieldId);
    }

    [Fact]
    public void Should_fields_overlap_the_one_whose_id_comes_first_wins()
    {
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Field("a-later-field", Some.Square()),
        ]);

        Assert.Equal("a-later-field", Assert.Single(Post(configuration, new Pass(11)).Lines).Key.FieldId);
    }

    [Fact]
    public void Without_its_own_width_a_reading_is_as_wide_as_the_applicator()
    {
        var silent = new Pass(11) { Change = (_, reading) => reading with { WidthMillimetres = null } };

        Assert.Equal(
            Only(Usual, new Pass(11)).AreaTravelledSquareCentimetres,
            Only(Usual, silent).AreaTravelledSquareCentimetres
        );
    }

    [Fact]
    public void Ammonium_above_total_nitrogen_is_kept_and_flagged()
    {
        var odd = new Pass(11)
        {
            Change = (i, reading) => i < 4 ? reading with { AmmoniumNitrogenMilligramsPerLitre = 4_001 } : reading,
        };

        var amounts = Only(Usual, odd);

        Assert.Equal(120_000, amounts.FlaggedMillilitres);
        Assert.Equal((120_000L * 4_001) + (180_000L * 2_500), amounts.AmmoniumNitrogen.WeightedSum);
    }

    [Fact]
    public void Nothing_is_posted_for_equipment_that_is_no_registered_applicator_until_it_is()
    {
        var before = Some.Configuration(Some.ConfigurationEvents().Where(@event => @event is not ApplicatorRegistered));

        Assert.Empty(Post(before, new Pass(11)).Lines);
        Assert.Equal(300_000, Only(before.With(Some.Applicator()), new Pass(11)).VolumeMillilitres);
    }

    [Fact]
    public void Nothing_is_posted_before_the_farm_is_registered() =>
        Assert.Empty(
            Post(
                Some.Configuration(Some.ConfigurationEvents().Where(@event => @event is not FarmRegistered)),
                new Pass(11)
            ).Lines
        );

    private static Pass Falling(int at, Func<long?, long?> to) =>
        new(11)
        {
            Change = (i, reading) =>
                i < at ? reading : reading with { TotalMillilitres = to(reading.TotalMillilitres) },
        };

    private static LedgerAddition Post(FarmConfiguration configuration, Pass pass) =>
        Some.Posted(configuration, Some.Batch(pass.Drive()));

    private static LineAmounts Only(FarmConfiguration configuration, Pass pass) =>
        Assert.Single(Post(configuration, pass).Lines).Value;
}
