using CsCheck;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Units;

/// <summary>A value converted to a customary unit and back is the same, for any amount a farm could have.</summary>
public sealed class RoundTripTests
{
    private static readonly Gen<double> SomeAmount = Gen.Double[1e-6, 1e9];

    private static readonly Gen<DryMatter> SomeDryMatter = Gen.Double[0.001, 1.0].Select(share => new DryMatter(share));

    [Fact]
    public void Volumes_areas_and_masses_come_back() =>
        SomeAmount.Sample(amount =>
        {
            Back(amount, Volume.FromUsGallons(amount).UsGallons);
            Back(amount, Volume.FromImperialGallons(amount).ImperialGallons);
            Back(amount, Volume.FromCubicFeet(amount).CubicFeet);
            Back(amount, Volume.FromLitres(amount).Litres);
            Back(amount, Area.FromAcres(amount).Acres);
            Back(amount, Area.FromHectares(amount).Hectares);
            Back(amount, Mass<K2O>.FromPounds(amount).Pounds);
            Back(amount, FreshMass.FromShortTons(amount).ShortTons);
            Back(amount, FreshMass.FromTonnes(amount).Tonnes);
        });

    [Fact]
    public void Rates_and_concentrations_come_back() =>
        SomeAmount.Sample(amount =>
        {
            Back(amount, VolumeRate.FromUsGallonsPerAcre(amount).UsGallonsPerAcre);
            Back(amount, VolumeRate.FromImperialGallonsPerAcre(amount).ImperialGallonsPerAcre);
            Back(amount, VolumeRate.FromLitresPerHectare(amount).LitresPerHectare);
            Back(amount, NutrientRate<Nitrogen>.FromPoundsPerAcre(amount).PoundsPerAcre);
            Back(amount, FreshMassRate.FromShortTonsPerAcre(amount).ShortTonsPerAcre);
            Back(amount, FreshMassRate.FromTonnesPerHectare(amount).TonnesPerHectare);
            Back(amount, Concentration<Nitrogen>.FromPoundsPer1000UsGallons(amount).PoundsPer1000UsGallons);
            Back(amount, Concentration<Nitrogen>.FromPoundsPer1000ImperialGallons(amount).PoundsPer1000ImperialGallons);
            Back(amount, Concentration<Nitrogen>.FromMilligramsPerLitre(amount).MilligramsPerLitre);
            Back(amount, FreshContent<Nitrogen>.FromPercent(amount).Percent);
            Back(amount, FreshContent<Nitrogen>.FromPartsPerMillion(amount).PartsPerMillion);
            Back(amount, FreshContent<Nitrogen>.FromPoundsPerShortTon(amount).PoundsPerShortTon);
            Back(amount, FreshContent<Nitrogen>.FromKilogramsPerTonne(amount).KilogramsPerTonne);
            Back(amount, Density.FromPoundsPerUsGallon(amount).PoundsPerUsGallon);
            Back(amount, Density.FromPoundsPerCubicFoot(amount).PoundsPerCubicFoot);
        });

    [Fact]
    public void The_oxide_comes_back_as_the_element() =>
        SomeAmount.Sample(amount =>
        {
            Back(amount, new Mass<Phosphorus>(amount).As<P2O5>().As<Phosphorus>().Kilograms);
            Back(amount, new NutrientRate<Potassium>(amount).As<K2O>().As<Potassium>().KilogramsPerHectare);
            Back(amount, new Concentration<K2O>(amount).As<Potassium>().As<K2O>().KilogramsPerCubicMetre);
            Back(amount, new FreshContent<P2O5>(amount).As<Phosphorus>().As<P2O5>().KilogramsPerKilogram);
            Back(amount, new DryContent<P2O5>(amount).As<Phosphorus>().As<P2O5>().KilogramsPerKilogram);
        });

    [Fact]
    public void The_wet_basis_comes_back_from_the_dry_basis() =>
        Gen.Select(SomeAmount, SomeDryMatter)
            .Sample(
                (amount, dry) =>
                    Back(amount, new FreshContent<Nitrogen>(amount).OnDryBasis(dry).AsIs(dry).KilogramsPerKilogram)
            );

    [Fact]
    public void A_content_comes_back_from_the_concentration_at_the_same_density() =>
        Gen.Select(SomeAmount, Gen.Double[900, 1100])
            .Sample(
                (amount, kilograms) =>
                {
                    var density = new Density(kilograms);
                    Back(amount, (new FreshContent<Nitrogen>(amount) * density / density).KilogramsPerKilogram);
                }
            );

    [Fact]
    public void A_rate_for_a_nutrient_brings_that_much_of_it() =>
        Gen.Select(SomeAmount, Gen.Double[0.01, 50])
            .Sample(
                (wanted, content) =>
                {
                    var liquid = new Concentration<Nitrogen>(content);
                    var solid = FreshContent<Nitrogen>.FromKilogramsPerTonne(content);
                    var rate = new NutrientRate<Nitrogen>(wanted);
                    Back(wanted, (liquid * (rate / liquid)).KilogramsPerHectare);
                    Back(wanted, (solid * (rate / solid)).KilogramsPerHectare);
                }
            );

    private static void Back(double expected, double actual) => Assert.Equal(expected, actual, 1e-12 * expected);
}
