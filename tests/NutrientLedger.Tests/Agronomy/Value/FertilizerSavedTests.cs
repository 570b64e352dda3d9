using CsCheck;
using NutrientLedger.Agronomy.Value;

namespace NutrientLedger.Tests.Agronomy.Value;

/// <summary>
/// Grades as on the bag (urea 46-0-0, diammonium phosphate 18-46-0, potash 0-0-60): common practice, no source.
/// </summary>
public sealed class FertilizerSavedTests
{
    private static readonly FertilizerProgramme Programme = new(
        Fertilizer.FromGrade("urea", 46, 0, 0),
        Fertilizer.FromGrade("diammonium phosphate", 18, 46, 0),
        Fertilizer.FromGrade("potash", 0, 0, 60)
    );

    private static readonly Gen<NutrientMasses> SomeMasses = Gen.Select(
        Gen.Double[0, 200],
        Gen.Double[0, 100],
        Gen.Double[0, 150],
        (nitrogen, p2O5, k2O) => new NutrientMasses(new(nitrogen), new(p2O5), new(k2O))
    );

    [Fact]
    public void Phosphate_brings_nitrogen_that_need_not_be_bought_again()
    {
        var bought = Programme.For(new(new(100), new(46), new(60)));
        Assert.Equal(100, bought.ForP2O5.Kilograms, 1e-9);
        Assert.Equal(100, bought.ForK2O.Kilograms, 1e-9);
        Assert.Equal((100 - 18) / 0.46, bought.ForNitrogen.Kilograms, 1e-9);
    }

    [Fact]
    public void Manure_that_brings_all_the_phosphate_leaves_the_phosphate_out_and_its_nitrogen_wanting()
    {
        var saved = Programme.LeftOut(need: new(new(100), new(46), new(0)), fromManure: new(new(0), new(60), new(0)));
        Assert.Equal(100, saved.ForP2O5.Kilograms, 1e-9);
        Assert.Equal(-18 / 0.46, saved.ForNitrogen.Kilograms, 1e-9);
    }

    [Fact]
    public void Manure_that_brings_everything_leaves_everything_out() =>
        SomeMasses.Sample(need => Assert.Equal(Programme.For(need), Programme.LeftOut(need, fromManure: need)));

    [Fact]
    public void What_is_still_bought_and_the_manure_together_meet_the_need() =>
        Gen.Select(SomeMasses, SomeMasses)
            .Sample(
                (need, manure) =>
                {
                    var (all, saved) = (Programme.For(need), Programme.LeftOut(need, manure));
                    var phosphate = all.ForP2O5.Kilograms - saved.ForP2O5.Kilograms;
                    var urea = all.ForNitrogen.Kilograms - saved.ForNitrogen.Kilograms;
                    var credited = manure.AtMost(need);
                    Assert.True(0.46 * phosphate + credited.P2O5.Kilograms >= need.P2O5.Kilograms - 1e-9);
                    Assert.True(
                        0.46 * urea + 0.18 * phosphate + credited.Nitrogen.Kilograms >= need.Nitrogen.Kilograms - 1e-9
                    );
                }
            );

    [Fact]
    public void A_fertilizer_without_the_nutrient_it_is_named_for_is_rejected()
    {
        var wrong = Programme with { ForK2O = Fertilizer.FromGrade("urea", 46, 0, 0) };
        Assert.Throws<ArgumentException>(() => wrong.For(new(new(0), new(0), new(10))));
    }
}
