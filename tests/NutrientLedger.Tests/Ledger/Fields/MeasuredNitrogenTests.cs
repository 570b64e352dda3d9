using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Fields;
using static NutrientLedger.Tests.Ledger.Fields.SomeAvailability;

namespace NutrientLedger.Tests.Ledger.Fields;

/// <summary>Available nitrogen where part of the composition was not measured, or where the dry matter was.</summary>
public class MeasuredNitrogenTests
{
    // Saskatchewan's page gives 0.75 as the share of ammonium in finishing-hog manure not analysed for it.
    [Fact]
    public void Where_ammonium_was_not_measured_the_set_may_give_its_usual_share()
    {
        var sets = Set("saskatchewan-hog", 2026, ("animal", "swine"), ("form", "liquid"));
        var hog = Of([sets], [], (_, reading) => reading with { AmmoniumNitrogenMilligramsPerLitre = null });
        var alberta = Of(
            Alberta("liquid"),
            Method(SpreadingMethod.ClosedSlotInjection),
            (_, reading) => reading with { AmmoniumNitrogenMilligramsPerLitre = null }
        );

        Assert.Equal(4 * (0.75 + (0.25 * 0.25)), PerLitre(hog.Nitrogen), 1e-9);
        Assert.Contains(hog.Nitrogen.Coefficients, used => used.Coefficient.Name == "ammonium-share/finishing-hogs");
        var missing = NoCoefficientOf(alberta.Nitrogen).Missing;
        Assert.Equal(
            ("alberta-2007", "ammonium-share", MissingCause.NoneOfThisKind),
            (missing.SetId, missing.Kind, missing.Cause)
        );
    }

    [Fact]
    public void Total_and_ammonium_measured_apart_are_not_subtracted()
    {
        var available = Of(
            Alberta("liquid"),
            Method(SpreadingMethod.ClosedSlotInjection),
            (i, reading) => i < 5 ? reading : reading with { AmmoniumNitrogenMilligramsPerLitre = null }
        );

        Assert.Equal(Unavailable.For(new FormsMeasuredApart()), available.Nitrogen.Unavailable);
    }

    [Fact]
    public void Volume_without_composition_makes_it_at_least_and_lowers_the_share()
    {
        var available = Of(
            [Set("minnesota", 2026, ("animal", "dairy"))],
            Method(SpreadingMethod.ClosedSlotInjection),
            (i, reading) => i < 5 ? reading : reading with { TotalNitrogenMilligramsPerLitre = null }
        );

        Assert.Equal(0.15 * 4 * 0.5, available.Nitrogen.Kilograms!.Value, 1e-9);
        Assert.True(available.Nitrogen.AtLeast);
        Assert.Equal(0.5, available.Nitrogen.ShareOfVolume!.Value, 1e-12);
        Assert.False(available.Potassium.AtLeast);
    }

    // New York: of organic nitrogen 35 % in the first year under 18 % dry matter, 25 % from 18 % on. Manure on the
    // surface, never incorporated, retains no ammonium.
    [Fact]
    public void Dry_matter_is_taken_as_it_was_measured()
    {
        IJournalEvent[] chosen = [Set("new-york", 2026, ("animal", "dairy"))];
        var thin = Of(chosen, Method(SpreadingMethod.Broadcast), Liquid);
        var thick = Of(
            chosen,
            Method(SpreadingMethod.Broadcast),
            (i, reading) => Liquid(i, reading) with { DryMatterPartsPerMillion = 180_000 }
        );

        Assert.Equal(1.9 * 0.35, PerLitre(thin.Nitrogen), 1e-9);
        Assert.Equal(1.9 * 0.25, PerLitre(thick.Nitrogen), 1e-9);
        Assert.Equal("phosphorus-available", NoCoefficientOf(thin.Phosphorus).Missing.Kind);
    }
}
