using CsCheck;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Agronomy.Value;

namespace NutrientLedger.Tests.Agronomy.Value;

public sealed class ManureValueTests
{
    private static readonly PriceList IowaPrices = new(
        NutrientPrices.PerPound<Nitrogen>(0.28),
        NutrientPrices.PerPound<P2O5>(0.26),
        NutrientPrices.PerPound<K2O>(0.22)
    );

    // Iowa State University Extension, "Value of Manure Nutrients", Winter 2006 (seen): swine finishing 50-35-25
    // lb/1000 gal, 3,000 gal/ac injected; 140 lb N -> $39, 105 lb P2O5 -> $27, with 75 lb K2O about $83/ac. Tolerance
    // $0.5. Of 150 lb of nitrogen 140 are credited: a loss of 7 % that the page does not name, so it is put in here as
    // the need.
    [Fact]
    public void Swine_manure_is_worth_about_83_dollars_an_acre()
    {
        var acre = Area.FromAcres(1);
        var volume = VolumeRate.FromUsGallonsPerAcre(3000) * acre;
        var manure = NutrientMasses.In(
            volume,
            Per1000Gallons<Nitrogen>(50),
            Per1000Gallons<P2O5>(35),
            Per1000Gallons<K2O>(25)
        );
        var need = manure with { Nitrogen = Mass<Nitrogen>.FromPounds(140) };
        var value = ManureValue.Of(manure.AtMost(need), IowaPrices);
        Assert.Equal(39, value.Nitrogen, 0.5);
        Assert.Equal(27, value.P2O5, 0.5);
        Assert.Equal(83, value.PerAcre(acre), 0.5);
        Assert.Equal(83.00 / 3, value.PerThousandUsGallons(volume), 1e-9);
        Assert.Equal(83.00, value.Total, 1e-9);
    }

    [Fact]
    public void The_value_of_a_field_is_its_value_per_acre_times_its_acres() =>
        Gen.Select(Gen.Double[0.1, 500], Gen.Double[0, 300], Gen.Double[0, 300], Gen.Double[0, 300])
            .Sample(
                (hectares, nitrogen, p2O5, k2O) =>
                {
                    var field = Area.FromHectares(hectares);
                    var value = ManureValue.Of(
                        NutrientMasses.On(field, new(nitrogen), new(p2O5), new(k2O)),
                        IowaPrices
                    );
                    Assert.Equal(value.Total, value.PerAcre(field) * field.Acres, 1e-9 * (1 + value.Total));
                    Assert.Equal(value.Total, value.PerHectare(field) * hectares, 1e-9 * (1 + value.Total));
                    Assert.Equal(value.Total, value.Nitrogen + value.P2O5 + value.K2O, 1e-9 * (1 + value.Total));
                }
            );

    // Nebraska, "Calculating the Value of Nutrients in Manure" (seen): price per lb = price per ton / 2000 / analysis
    // fraction. The prices are those of "Estimating the value of manure", University of Wisconsin-Madison Extension, 24
    // Apr 2023: DAP at $775/ton; its $0.70/lb P2O5 can't be reproduced: it is 0.84 without and 0.62 with a credit for
    // nitrogen; the nitrogen price of $0.562/lb that gives 0.62 is derived, no publisher. Tolerance $0.005.
    [Fact]
    public void Phosphate_that_carries_nitrogen_is_priced_without_it()
    {
        var ton = FreshMass.FromShortTons(1);
        var phosphate = FreshContent<P2O5>.FromPercent(46);
        var nitrogenIn = FreshContent<Nitrogen>.FromPercent(18) * ton;
        var whole = NutrientPrices.FromFertilizer(775, ton, phosphate, otherNutrientsWorth: 0);
        var credited = NutrientPrices.FromFertilizer(
            775,
            ton,
            phosphate,
            NutrientPrices.PerPound<Nitrogen>(0.562) * nitrogenIn
        );
        Assert.Equal(0.84, whole * Mass<P2O5>.FromPounds(1), 0.005);
        Assert.Equal(0.62, credited * Mass<P2O5>.FromPounds(1), 0.005);
    }

    private static Concentration<T> Per1000Gallons<T>(double pounds)
        where T : INutrient => Concentration<T>.FromPoundsPer1000UsGallons(pounds);
}
