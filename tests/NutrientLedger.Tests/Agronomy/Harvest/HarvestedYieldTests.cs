using CsCheck;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Factors.Files;
using NutrientLedger.Agronomy.Harvest;
using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Tests.Agronomy.Harvest;

public sealed class HarvestedYieldTests
{
    // University of Wisconsin, "Determining the Tons of Silage in Silo Bags", 2 Jun 2020 (seen): a bag of 8 ft, silage
    // over 200 - 2 x 8 = 184 ft at 13 lb of dry matter per cubic foot -> 60.12 t of dry matter, over 0.35 -> 171.8 t at
    // 65 % moisture; 172 t x 7.94 -> 1,366 bu. Short tons; tolerance 0.01 t, 0.05 t and 1 bu.
    [Fact]
    public void A_silage_bag_in_tons_at_standard_moisture()
    {
        var cubicFeet = Math.PI * 4 * 4 * (200 - 2 * 8);
        var dry = FreshMass.FromPounds(cubicFeet * 13);
        Assert.Equal(60.12, dry.ShortTons, 0.01);
        var chopped = WeighedYield.OfDryMass(dry.Kilograms, DryMatter.FromPercent(31));
        var standard = chopped.AtStandard("corn", HarvestedPart.Silage, PublishedSets.Find("harvest-standards")!).Value;
        Assert.Equal(171.8, standard.Fresh.ShortTons, 0.05);
        Assert.Equal(65, standard.DryMatter.MoisturePercent, 1e-9);
        Assert.Equal(1366, 172 * 7.94, 1.0);
    }

    // Silage is sold at 30 % dry matter in California (University of California, page on buying or selling wet forages,
    // seen) and at 35 % in Wisconsin (the page above, seen): the same crop, a sixth more tons.
    [Fact]
    public void The_standard_is_a_matter_of_the_set()
    {
        var yield = new WeighedYield(FreshMass.FromTonnes(35), DryMatter.FromPercent(33));
        double Tonnes(string set) =>
            yield.AtStandard("corn", HarvestedPart.Silage, PublishedSets.Find(set)!).Value.Fresh.Tonnes;
        Assert.Equal(35.0 / 30, Tonnes("california-silage-trade") / Tonnes("harvest-standards"), 1e-12);
    }

    // North Dakota State University, "What is the value of a standing corn crop for silage" (seen): 56 lb/bu; 700 lb
    // dry matter per ton at 35 %.
    [Fact]
    public void Bushels_weigh_what_the_trade_says()
    {
        var weighed = new BushelYield(200).Weigh("corn", PublishedSets.Find("harvest-standards")!);
        Assert.Equal(200 * 56, weighed.Value.Pounds, 1e-9);
        var ton = new WeighedYield(FreshMass.FromShortTons(1), DryMatter.FromPercent(35));
        Assert.Equal(700, new FreshMass(ton.DryKilograms).Pounds, 1e-9);
        var barley = new BushelYield(80).Weigh("barley", PublishedSets.Find("harvest-standards")!);
        Assert.Contains("bushel-weight for barley", Assert.Single(barley.Missing).ToString());
    }

    [Fact]
    public void Dry_mass_stays_whatever_the_basis() =>
        Gen.Select(Gen.Double[1, 1e6], Gen.Double[0.01, 1], Gen.Double[0.01, 1])
            .Sample(
                (kilograms, now, basis) =>
                {
                    var yield = new WeighedYield(new(kilograms), new(now));
                    Assert.Equal(yield.DryKilograms, yield.At(new(basis)).DryKilograms, 1e-9 * kilograms);
                    Assert.Equal(kilograms, yield.At(new(basis)).At(new(now)).Fresh.Kilograms, 1e-9 * kilograms);
                }
            );
}
