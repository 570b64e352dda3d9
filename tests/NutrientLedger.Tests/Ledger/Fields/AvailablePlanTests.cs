using System.Collections.Immutable;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Tests.Ledger.Fields;

/// <summary>
/// Plans by available nitrogen, and the carry-over from earlier seasons. Coefficients are of the factor file minnesota
/// for dairy manure.
/// </summary>
public class AvailablePlanTests
{
    private static readonly double Allowed = 300 * BoundaryArea.SquareMetres(Some.Square()) / 1e7;

    private static readonly AvailabilitySetChosen Dairy = new(
        "minnesota",
        2026,
        ImmutableSortedDictionary<string, string>.Empty.Add("animal", "dairy")
    );

    // Every pass spreads 0.3 m³ with 4 g/L of nitrogen; half of it is available where it was injected.
    [Fact]
    public void Available_nitrogen_counts_against_a_plan_that_is_written_so()
    {
        var plan = Balance([Dairy], 2026, Some.Morning).Plan!;

        Assert.Equal(0.6, plan.Nitrogen!.CountedKilograms!.Value, 1e-9);
        Assert.Equal(Allowed - 0.6, plan.Nitrogen.RemainingKilograms!.Value, 1e-9);
        Assert.Null(plan.Nitrogen.Unavailable);
    }

    [Fact]
    public void Phosphate_counts_in_full_whatever_the_set_says()
    {
        var balance = Balance([Dairy], 2026, Some.Morning);

        Assert.Equal(balance.Spread.P2O5Kilograms, balance.Plan!.P2O5!.CountedKilograms);
        Assert.Equal(
            0.8 * balance.Spread.Phosphorus.Kilograms,
            balance.Availability!.Phosphorus.Kilograms!.Value,
            1e-9
        );
    }

    [Fact]
    public void A_plan_whose_nitrogen_cannot_be_computed_says_which_coefficient_is_missing()
    {
        var unstated = Dairy with { Circumstances = ImmutableSortedDictionary<string, string>.Empty };
        var plan = Balance([unstated], 2026, Some.Morning).Plan!;

        Assert.Null(plan.Nitrogen!.RemainingKilograms);
        Assert.Equal(Allowed, plan.Nitrogen.AllowedKilograms!.Value, 1e-9);
        var none = Assert.IsType<NoCoefficient>(Assert.Single(plan.Nitrogen.Unavailable!.Reasons));
        Assert.Equal(("minnesota", "total-nitrogen-available"), (none.Missing.SetId, none.Missing.Kind));
    }

    [Fact]
    public void Without_manure_all_that_is_allowed_remains()
    {
        var plan = Balance([Dairy], 2026).Plan!;

        Assert.Equal(Allowed, plan.Nitrogen!.RemainingKilograms!.Value, 1e-9);
    }

    // Year 2 of dairy manure is a quarter of its total nitrogen: 0.3 kg of the 1.2 kg spread a season ago.
    [Fact]
    public void Last_seasons_manure_is_shown_separately_and_not_counted_against_the_plan()
    {
        var balance = Balance([Dairy], 2027, Some.Morning, Some.Morning.AddYears(1));

        Assert.Equal(0.3, balance.Availability!.CarriedOverNitrogen.Kilograms!.Value, 1e-9);
        Assert.Equal(
            "total-nitrogen-available/dairy/year-2",
            Assert.Single(balance.Availability.CarriedOverNitrogen.Coefficients).Coefficient.Name
        );
        Assert.Equal(0.6, balance.Availability.Nitrogen.Kilograms!.Value, 1e-9);
        // The ledger begins with season 2026 and has no records of 2025.
        Assert.True(balance.Availability.CarriedOverNitrogen.AtLeast);
    }

    [Fact]
    public void A_year_that_the_source_does_not_print_is_named()
    {
        var carried = Balance([Dairy], 2028, Some.Morning).Availability!.CarriedOverNitrogen;

        Assert.Null(carried.Kilograms);
        var missing = SomeAvailability.NoCoefficientOf(carried).Missing;
        Assert.Equal(
            ("total-nitrogen-available", "dairy", "3"),
            (missing.Kind, missing.Circumstances["animal"], missing.Circumstances["year"])
        );
    }

    [Fact]
    public void What_was_spread_before_the_ledger_began_is_not_called_nothing()
    {
        var young = Balance([Dairy], 2026).Availability!.CarriedOverNitrogen;
        var old = Balance([Dairy], 2028).Availability!.CarriedOverNitrogen;

        Assert.Null(young.Kilograms);
        Assert.Equal(Unavailable.For(new LedgerTooYoung(new(2025, 10, 1))), young.Unavailable);
        Assert.Equal(0, old.Kilograms);
    }

    private static FieldBalance Balance(IEnumerable<IJournalEvent> chosen, int season, params DateTimeOffset[] passes)
    {
        IJournalEvent[] events =
        [
            .. Some.ConfigurationEvents(),
            new SpreadingMethodRecorded(
                Some.DragLine,
                null,
                SpreadingMethod.ClosedSlotInjection,
                null,
                Some.Morning.AddDays(-1)
            ),
            new NutrientPlanSet(Some.West, season, NitrogenBasis.Available, 300, 200, null, "maize"),
            .. chosen,
        ];
        var configuration = Some.Configuration(events);
        var batches = passes.Select(
            (start, place) => Some.Batch(new Pass(11) { Start = start }.Drive(), boot: place + 1)
        );
        return FieldBalance.Of(configuration, Some.Posted(configuration, batches).Lines, [], Some.West, season);
    }
}
