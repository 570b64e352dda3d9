using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Nutrients;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Nutrients;

/// <summary>
/// A set without a needed coefficient gives no amount but the name of what is missing. It never guesses.
/// </summary>
public sealed class MissingCoefficientsTests
{
    private static readonly NitrogenForms<Mass<Nitrogen>> Applied = NitrogenAnalysis.OfTotal<Mass<Nitrogen>>(
        new(100),
        new(50)
    );

    [Fact]
    public void A_kind_that_the_set_does_not_hold_is_named()
    {
        var answer = MineralAvailability.OfPhosphorus(1, new Mass<Phosphorus>(10), new(), SomeManure.NewYork);
        Assert.Equal(
            "new-york has no phosphorus-available for year 1: the set has no coefficient of this kind.",
            Assert.Single(answer.Missing).ToString()
        );
        Assert.Throws<InvalidOperationException>(() => answer.Value);
    }

    [Fact]
    public void A_year_that_the_source_does_not_give_is_named()
    {
        var answer = MineralAvailability.OfPotassium(2, new Mass<Potassium>(10), new(), SomeManure.Alberta);
        Assert.Contains("potassium-available for year 2", Assert.Single(answer.Missing).ToString());
    }

    [Fact]
    public void A_delay_beyond_the_table_is_rejected_rather_than_extrapolated()
    {
        var late = SomeManure.InjectedInACoolWetSpring with
        {
            Method = ApplicationMethod.Broadcast,
            WorkedInAfterHours = 121,
        };
        var answer = NitrogenAvailability.InYear(1, Applied, late, SomeManure.Alberta);
        Assert.Contains("worked in after 121 h", Assert.Single(answer.Missing).ToString());
    }

    [Fact]
    public void All_missing_coefficients_are_named_at_once_with_the_unstated_circumstances()
    {
        var answer = NitrogenAvailability.InYear(1, Applied, new() { Animal = Animal.Dairy }, SomeManure.NewYork);
        Assert.Equal(2, answer.Missing.Length);
        Assert.Contains(
            answer.Missing,
            missing => missing.Reason.EndsWith("not given: dry matter", StringComparison.Ordinal)
        );
        Assert.Contains(answer.Missing, missing => missing.Reason.Contains("method"));
    }

    [Fact]
    public void A_published_range_is_not_averaged_but_asks_which_end()
    {
        var injected = new Circumstances
        {
            Animal = Animal.Dairy,
            DryMatterPercent = 8,
            Method = ApplicationMethod.SweepInjection,
        };
        var asked = NitrogenAvailability.InYear(1, Applied, injected, SomeManure.NewYork);
        Assert.Contains("published as a range, 0.65 to 1", Assert.Single(asked.Missing).Reason);
        var low = NitrogenAvailability.InYear(
            1,
            Applied,
            injected with
            {
                RangeEnd = RangeEnd.Low,
            },
            SomeManure.NewYork
        );
        var high = NitrogenAvailability.InYear(
            1,
            Applied,
            injected with
            {
                RangeEnd = RangeEnd.High,
            },
            SomeManure.NewYork
        );
        Assert.Equal(50 * 0.65 + 50 * 0.35, low.Value.Amount.Kilograms, 1e-9);
        Assert.Equal(50 * 1.00 + 50 * 0.35, high.Value.Amount.Kilograms, 1e-9);
    }

    [Fact]
    public void A_result_names_every_coefficient_that_made_it()
    {
        var answer = NitrogenAvailability.InYear(1, Applied, SomeManure.InjectedInACoolWetSpring, SomeManure.Alberta);
        Assert.Equal(
            ["ammonium-retained/injected", "organic-nitrogen-available/year-1"],
            answer.Used.Select(used => used.Coefficient.Name).Order()
        );
        Assert.All(answer.Used, used => Assert.Equal("alberta-2007", used.SetId));
        Assert.Equal((Scheme.AmmoniumAndOrganic, "alberta-2007"), (answer.Scheme, answer.SetId));
    }
}
