using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Tests.Ledger.Fields;

public class FieldBalanceTests
{
    [Fact]
    public void A_pass_makes_a_balance_in_customary_units()
    {
        var balance = Balance(Some.ConfigurationEvents(), Some.Batch(new Pass(11).Drive()));

        Assert.Equal(0.3, balance.Spread.VolumeCubicMetres, 1e-12);
        Assert.Equal(1.2, balance.Spread.TotalNitrogen.Kilograms, 1e-12);
        Assert.Equal(0.75, balance.Spread.AmmoniumNitrogen.Kilograms, 1e-12);
        Assert.Equal(new OrganicNitrogen(0.45, Floored: false), balance.Spread.OrganicNitrogen);
        Assert.Equal(0.24, balance.Spread.Phosphorus.Kilograms, 1e-12);
        Assert.Equal(0.87, balance.Spread.Potassium.Kilograms, 1e-12);
        Assert.Equal(0.06, balance.Spread.DryMatter.MeanFraction!.Value, 1e-12);
        Assert.Equal(4.0, balance.Spread.TotalNitrogen.MeanKilogramsPerCubicMetre!.Value, 1e-12);
        Assert.False(balance.Spread.TotalNitrogen.AtLeast);
        Assert.Equal(Some.Morning.AddSeconds(10), balance.Spread.LastMeasuredAt);
        Assert.Equal(0, balance.Spread.FlaggedShare);
        Assert.Null(balance.Plan);
    }

    [Fact]
    public void Rates_are_per_area_travelled_and_nutrients_per_area_covered()
    {
        var again = new Pass(61) { Start = Some.Morning.AddMinutes(5) }.Drive();
        var balance = Balance(
            Some.ConfigurationEvents(),
            Some.Batch(new Pass(61).Drive()),
            Some.Batch(again, firstSeq: 100)
        );

        // 30 L/s over 1.9993 m/s × 9 m is 16.67 m³/ha on each of the two passes; the ground received both.
        Assert.Equal(16.67, balance.Spread.CubicMetresPerHectareTravelled!.Value, 0.01);
        Assert.Equal(2 * 16.67 * 4, balance.TotalNitrogenKilogramsPerCoveredHectare!.Value, 4.0);
        Assert.Equal(balance.CoveredSquareMetres, balance.OverlappedSquareMetres);
        Assert.Equal(BoundaryArea.SquareMetres(Some.Square()), balance.FieldSquareMetres);
    }

    // Alberta Agriculture and Food, Agdex 400/28-3 (2007), p. 192 [seen]: 13,000 L/ha at 6 km/h and 4.9 m take a flow
    // of 637 L/min (± 0.5).
    [Fact]
    public void A_drag_line_at_the_published_flow_speed_and_width_spreads_the_published_rate()
    {
        // 6 km/h is 1.6667 m/s, or 150.06 steps of 1e-7 degree (11.107 mm each at this latitude); 637 L/min is 10 616.7
        // mL/s.
        var pass = new Pass(601)
        {
            Change = (i, reading) =>
                reading with
                {
                    LatitudeE7 = Some.Corner.LatitudeE7 + (int)Math.Round(i * 1.666667 / 0.0111072),
                    WidthMillimetres = 4_900,
                    TotalMillilitres = (long)Math.Round(i * 637_000 / 60.0),
                },
        };
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Field("long", Some.Square(sideE7: 200_000)),
        ]);
        var accumulator = Some.Posted(configuration, Some.Batch(pass.Drive()[..600]), Some.Batch(pass.Drive()[600..]));
        var spread = SpreadAmounts.Of(configuration, accumulator.Lines);

        Assert.Equal(13.000, spread.CubicMetresPerHectareTravelled!.Value, 13.000 * 0.5 / 637);
    }

    // Alberta Agriculture and Food, Agdex 400/28-3 (2007), p. 162 [seen]: total N 3.5 and ammonium N 1.8 kg per 1000 L
    // leave 1.7 of organic N.
    [Fact]
    public void Organic_nitrogen_is_the_published_difference()
    {
        var spread = Spread(1_000_000, total: 3_500, ammonium: 1_800);

        Assert.Equal(1.7, spread.OrganicNitrogen.Kilograms!.Value, 0.0005);
    }

    // Alberta Agriculture and Food, Agdex 400/28-3 (2007), p. 221 [seen]: 32.6 kg P/ha is printed as 74.7 kg P2O5/ha (±
    // 0.2).
    [Fact]
    public void Phosphorus_is_shown_as_the_published_oxide() =>
        Assert.Equal(74.7, Spread(32_600_000, phosphorus: 1_000).P2O5Kilograms, 0.2);

    [Fact]
    public void Ammonium_above_total_nitrogen_leaves_no_organic_nitrogen_and_says_so() =>
        Assert.Equal(
            new OrganicNitrogen(0, Floored: true),
            Spread(1_000, total: 1_000, ammonium: 1_001).OrganicNitrogen
        );

    [Fact]
    public void Ammonium_equal_to_total_nitrogen_leaves_none_and_is_not_marked() =>
        Assert.Equal(
            new OrganicNitrogen(0, Floored: false),
            Spread(1_000, total: 1_000, ammonium: 1_000).OrganicNitrogen
        );

    [Fact]
    public void Organic_nitrogen_is_not_guessed_when_its_two_parts_were_measured_in_different_volumes()
    {
        var sums = Spread(1_000, total: 1_000, ammonium: 500).Sums;
        var partly = Spread(sums with { AmmoniumNitrogen = new(300_000, MillilitresWithout: 400) });

        Assert.Null(partly.OrganicNitrogen.Kilograms);
    }

    [Fact]
    public void Volume_without_composition_makes_the_nutrients_at_least_and_the_rest_of_the_plan_at_most()
    {
        var pass = new Pass(11)
        {
            Change = (i, reading) => i < 5 ? reading : reading with { PhosphorusMilligramsPerLitre = null },
        };

        var balance = Balance([.. Some.ConfigurationEvents(), Plan(NitrogenBasis.Total)], Some.Batch(pass.Drive()));

        Assert.True(balance.Spread.Phosphorus.AtLeast);
        Assert.Equal(0.15, balance.Spread.Phosphorus.CubicMetresWithout, 1e-12);
        Assert.Equal(0.8, balance.Spread.Phosphorus.MeanKilogramsPerCubicMetre!.Value, 1e-12);
        Assert.True(balance.Plan!.P2O5!.AtMost);
        Assert.False(balance.Plan.Nitrogen!.AtMost);
    }

    [Fact]
    public void What_is_left_of_a_plan_counts_for_the_whole_field_and_goes_below_nothing()
    {
        var balance = Balance(
            [.. Some.ConfigurationEvents(), Plan(NitrogenBasis.Total)],
            Some.Batch(new Pass(11).Drive())
        );
        var hectares = BoundaryArea.SquareMetres(Some.Square()) / 1e4;

        Assert.Equal(0.3 * hectares, balance.Plan!.Nitrogen!.AllowedKilograms!.Value, 1e-9);
        Assert.Equal((0.3 * hectares) - 1.2, balance.Plan.Nitrogen.RemainingKilograms!.Value, 1e-9);
        Assert.True(balance.Plan.Nitrogen.RemainingKilograms < 0);
        Assert.Equal((0.2 * hectares) - 0.54984, balance.Plan.P2O5!.RemainingKilograms!.Value, 1e-9);
        Assert.Null(balance.Plan.K2O);
    }

    [Fact]
    public void Available_nitrogen_is_not_computed_without_an_availability_set()
    {
        var plan = Balance(
            [.. Some.ConfigurationEvents(), Plan(NitrogenBasis.Available)],
            Some.Batch(new Pass(11).Drive())
        ).Plan!;

        Assert.Null(plan.Nitrogen!.RemainingKilograms);
        Assert.NotNull(plan.Nitrogen.AllowedKilograms);
        Assert.Equal(Unavailable.For(new NoFactorSetChosen()), plan.Nitrogen.Unavailable);
        Assert.NotNull(plan.P2O5!.RemainingKilograms);
    }

    [Fact]
    public void The_latest_plan_for_a_field_and_season_wins()
    {
        IJournalEvent[] events =
        [
            .. Some.ConfigurationEvents(),
            Plan(NitrogenBasis.Available),
            Plan(NitrogenBasis.Total),
        ];

        Assert.Equal(NitrogenBasis.Total, Balance(events).Plan!.Plan.NitrogenBasis);
    }

    [Fact]
    public void A_field_without_boundary_in_the_season_has_no_area_and_the_plan_says_why()
    {
        IJournalEvent[] events =
        [
            Some.Farm(),
            Some.Field(Some.West, Some.Square(), new(2027, 3, 1)),
            Plan(NitrogenBasis.Total),
        ];

        var balance = Balance(events);

        Assert.Null(balance.FieldSquareMetres);
        Assert.Equal(Unavailable.For(new NoBoundary()), balance.Plan!.Nitrogen!.Unavailable);
    }

    [Fact]
    public void What_belongs_to_no_field_is_shown_for_the_farm()
    {
        var configuration = Some.Configuration(Some.ConfigurationEvents());
        var elsewhere = new GeoPoint(430_000_000, -935_000_000);
        var raised = new Pass(11) { From = elsewhere, Change = (i, reading) => reading with { Engaged = i >= 5 } };
        var gap = new Pass(3) { StepMilliseconds = 20_000 };
        var silent = new Pass(2)
        {
            Change = (_, x) => x with { TotalMillilitres = null, FlowMillilitresPerSecond = null },
        };
        var accumulator = Some.Posted(
            configuration,
            new[] { raised, gap, silent, new Pass(11) }.Select(pass => Some.Batch(pass.Drive()))
        );

        var outside = FieldBalance.OutsideFields(configuration, accumulator.Lines, 2026);

        Assert.Equal(0.15, outside.VolumeCubicMetres, 1e-12);
        Assert.Equal(0.15, outside.DisengagedCubicMetres, 1e-12);
        Assert.Equal(0.06, outside.NotPlacedCubicMetres, 1e-12);
        Assert.Equal(1, outside.UnknownIntervals);
        Assert.Equal(0, FieldBalance.OutsideFields(configuration, accumulator.Lines, 2027).MeteredCubicMetres);
    }

    private static NutrientPlanSet Plan(NitrogenBasis basis) => new(Some.West, 2026, basis, 300, 200, null, "maize");

    private static SpreadAmounts Spread(long millilitres, int total = 0, int ammonium = 0, int phosphorus = 0) =>
        Spread(
            LineAmounts.None with
            {
                VolumeMillilitres = millilitres,
                TotalNitrogen = new(millilitres * total, 0),
                AmmoniumNitrogen = new(millilitres * ammonium, 0),
                Phosphorus = new(millilitres * phosphorus, 0),
            }
        );

    private static SpreadAmounts Spread(LineAmounts line) =>
        SpreadAmounts.Of(
            FarmConfiguration.Empty,
            [new(new(Some.West, 2026, 0, Some.DragLine, Some.Pit, Some.Sensor), line)]
        );

    private static FieldBalance Balance(IEnumerable<IJournalEvent> events, params IEnumerable<IJournalEvent> batches)
    {
        var configuration = Some.Configuration(events);
        var posted = Some.Posted(configuration, batches);
        return FieldBalance.Of(configuration, posted.Lines, posted.Coverage(), Some.West, 2026);
    }
}
