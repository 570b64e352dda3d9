using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Fields;
using static NutrientLedger.Tests.Ledger.Fields.SomeAvailability;

namespace NutrientLedger.Tests.Ledger.Fields;

/// <summary>
/// Sources: Alberta Agriculture and Food, Agdex 400/28-3 (2007), pages seen; University of Minnesota Extension, read in
/// the factor file minnesota.
/// </summary>
public class FieldAvailabilityTests
{
    // Alberta Agriculture and Food, Agdex 400/28-3 (2007), p. 214 [seen]: liquid of TN 3.8, NH4-N 1.9, P 1.0, K 4.3
    // g/L, injected in a cool wet spring -> available N 2.4, P 0.7, K 3.9 g/L. Tolerance 0.05; unrounded 2.375, 0.70
    // and 3.87.
    [Fact]
    public void An_injected_liquid_gives_the_published_available_nutrients()
    {
        var available = Of(Alberta("liquid"), Method(SpreadingMethod.ClosedSlotInjection), Liquid);

        Assert.Equal(2.4, PerLitre(available.Nitrogen), 0.05);
        Assert.Equal(2.375, PerLitre(available.Nitrogen), 1e-9);
        Assert.Equal(0.7, PerLitre(available.Phosphorus), 0.05);
        Assert.Equal(3.9, PerLitre(available.Potassium), 0.05);
        Assert.Equal(("alberta-2007", 1.0), (available.Set!.Id, available.Nitrogen.ShareOfVolume));
        Assert.Equal(
            ["ammonium-retained/injected", "organic-nitrogen-available/year-1"],
            available.Nitrogen.Coefficients.Select(used => used.Coefficient.Name).Order(StringComparer.Ordinal)
        );
    }

    // Alberta Agriculture and Food, Agdex 400/28-3 (2007), p. 214 [seen]: TN 8.3, NH4-N 2.0, P 2.3, K 6.9 kg/t on the
    // surface, cool and wet, worked in within 2 days -> available N 3.3, P 1.6, K 6.2 kg/t. Tolerance 0.05. The ledger
    // counts volume, so a litre stands for a kilogram here.
    [Fact]
    public void A_surface_applied_solid_gives_the_published_available_nutrients()
    {
        var available = Of(Alberta("solid"), Method(SpreadingMethod.Broadcast, workedInAfter: 48), Solid);

        Assert.Equal(3.3, PerLitre(available.Nitrogen), 0.05);
        Assert.Equal(3.315, PerLitre(available.Nitrogen), 1e-9);
        Assert.Equal(1.6, PerLitre(available.Phosphorus), 0.05);
        Assert.Equal(6.2, PerLitre(available.Potassium), 0.05);
    }

    // Minnesota: dairy manure placed by coulters makes half of total nitrogen available; on the surface a fifth.
    [Fact]
    public void Two_methods_in_one_season_each_count_by_their_own_coefficient()
    {
        var later = new Pass(11) { Start = Some.Morning.AddHours(2), Change = Liquid };
        var available = Of(
            [Set("minnesota", 2026, ("animal", "dairy"))],
            [
                .. Method(SpreadingMethod.ClosedSlotInjection),
                new SpreadingMethodRecorded(
                    Some.DragLine,
                    Some.West,
                    SpreadingMethod.TrailingShoe,
                    null,
                    Some.Morning.AddHours(1)
                ),
            ],
            Liquid,
            Some.Batch(later.Drive(), boot: 2)
        );

        Assert.Equal(0.3 * 3.8 * (0.5 + 0.2), available.Nitrogen.Kilograms!.Value, 1e-9);
        Assert.Equal(2, available.Nitrogen.Coefficients.Length);
    }

    [Fact]
    public void A_missing_circumstance_gives_no_number_but_the_name_of_the_coefficient()
    {
        var available = Of([Set("minnesota", 2026)], Method(SpreadingMethod.ClosedSlotInjection), Liquid);

        Assert.Null(available.Nitrogen.Kilograms);
        Assert.Equal(0, available.Nitrogen.ShareOfVolume);
        var none = NoCoefficientOf(available.Nitrogen);
        Assert.Null(none.Method);
        Assert.Equal(("minnesota", "total-nitrogen-available"), (none.Missing.SetId, none.Missing.Kind));
        Assert.Equal((MissingCause.NotGiven, "animal"), (none.Missing.Cause, Assert.Single(none.Missing.NotGiven)));
        Assert.Equal(
            [("method", "closed-slot-injection"), ("workedInHours", "never"), ("year", "1")],
            none.Missing.Circumstances.Select(given => (given.Key, given.Value))
        );
        Assert.NotNull(available.Phosphorus.Kilograms);
    }

    [Fact]
    public void A_coefficient_that_the_source_does_not_print_is_named_and_the_rest_still_computed()
    {
        var available = Of(Alberta("liquid"), Method(SpreadingMethod.Broadcast, workedInAfter: 200), Liquid);

        Assert.Null(available.Nitrogen.Kilograms);
        var missing = NoCoefficientOf(available.Nitrogen).Missing;
        Assert.Equal(
            ("alberta-2007", "ammonium-retained", MissingCause.NotPublished),
            (missing.SetId, missing.Kind, missing.Cause)
        );
        Assert.Equal("200", missing.Circumstances["workedInHours"]);
        Assert.Equal(0.7, PerLitre(available.Phosphorus), 1e-9);
    }

    [Fact]
    public void A_line_without_a_method_is_named_by_applicator_and_hour_and_its_share_stays_out()
    {
        var later = new Pass(31) { Start = Some.Morning.AddHours(2), Change = Liquid };
        var available = Of(
            Alberta("liquid"),
            [
                new SpreadingMethodRecorded(
                    Some.DragLine,
                    null,
                    SpreadingMethod.ClosedSlotInjection,
                    null,
                    Some.Morning.AddHours(1)
                ),
            ],
            Liquid,
            Some.Batch(later.Drive(), boot: 2)
        );

        Assert.Null(available.Nitrogen.Kilograms);
        Assert.Equal(0.75, available.Nitrogen.ShareOfVolume!.Value, 1e-12);
        var none = NoCoefficientOf(available.Nitrogen);
        Assert.Equal(new UnrecordedMethod("dragline-1", Some.Morning), none.Method);
        Assert.Equal(("alberta-2007", "ammonium-retained"), (none.Missing.SetId, none.Missing.Kind));
    }

    [Fact]
    public void A_set_that_needs_no_method_computes_without_one()
    {
        var available = Of([Set("saskatchewan-hog", 2026, ("animal", "swine"), ("form", "liquid"))], [], Liquid);

        Assert.Equal(2.375, PerLitre(available.Nitrogen), 1e-9);
    }

    [Fact]
    public void The_latest_choice_for_a_season_wins_and_an_earlier_season_keeps_its_own()
    {
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Set("new-york", 2026),
            Set("alberta-2007", 2028),
            Set("minnesota", 2026),
        ]);

        Assert.Null(configuration.Availability(2025));
        Assert.Equal("minnesota", configuration.Availability(2026)!.Chosen.SetId);
        Assert.Equal("minnesota", configuration.Availability(2027)!.Chosen.SetId);
        Assert.Equal("alberta-2007", configuration.Availability(2030)!.Chosen.SetId);
        Assert.False(EventTypes.Of(Set("minnesota", 2026)).Changes == EventChanges.Rebuild);
    }

    [Fact]
    public void A_set_that_this_hub_does_not_know_is_named()
    {
        var available = Of([Set("of-another-hub", 2026)], [], Liquid);

        Assert.Equal(Unavailable.For(new UnknownFactorSet("of-another-hub")), available.Nitrogen.Unavailable);
        Assert.Null(available.Set);
    }
}
