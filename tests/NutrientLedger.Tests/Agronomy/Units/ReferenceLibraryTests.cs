using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;
using UnitsNet.Units;

namespace NutrientLedger.Tests.Agronomy.Units;

/// <summary>
/// Every conversion against a general-purpose units library, to one part in 10¹² both ways. The library's densities in
/// pounds have only eight or nine digits, so those are built from its pound, gallon and cubic foot.
/// </summary>
public sealed class ReferenceLibraryTests
{
    private const double Relative = 1e-12;

    [Fact]
    public void Masses_agree()
    {
        Same(UnitsNet.Mass.FromPounds(150).Kilograms, Mass<Nitrogen>.FromPounds(150).Kilograms);
        Same(UnitsNet.Mass.FromKilograms(150).Pounds, new Mass<Nitrogen>(150).Pounds);
        Same(UnitsNet.Mass.FromShortTons(23).Kilograms, FreshMass.FromShortTons(23).Kilograms);
        Same(UnitsNet.Mass.FromTonnes(23).ShortTons, FreshMass.FromTonnes(23).ShortTons);
        Same(UnitsNet.Mass.FromPounds(23).Tonnes, FreshMass.FromPounds(23).Tonnes);
        Same(UnitsNet.Mass.FromTonnes(23).Pounds, FreshMass.FromTonnes(23).Pounds);
    }

    [Fact]
    public void Volumes_agree_and_the_two_gallons_are_not_the_same()
    {
        Same(UnitsNet.Volume.FromUsGallons(3000).CubicMeters, Volume.FromUsGallons(3000).CubicMetres);
        Same(UnitsNet.Volume.FromImperialGallons(3000).CubicMeters, Volume.FromImperialGallons(3000).CubicMetres);
        Same(UnitsNet.Volume.FromCubicFeet(3000).CubicMeters, Volume.FromCubicFeet(3000).CubicMetres);
        Same(UnitsNet.Volume.FromLiters(3000).UsGallons, Volume.FromLitres(3000).UsGallons);
        Same(UnitsNet.Volume.FromLiters(3000).ImperialGallons, Volume.FromLitres(3000).ImperialGallons);
        Same(UnitsNet.Volume.FromLiters(3000).CubicFeet, Volume.FromLitres(3000).CubicFeet);
        Assert.Equal(1.201, Volume.FromImperialGallons(1).UsGallons, 0.0005);
    }

    [Fact]
    public void Areas_agree()
    {
        Same(UnitsNet.Area.FromAcres(60).SquareMeters, Area.FromAcres(60).SquareMetres);
        Same(UnitsNet.Area.FromHectares(60).Acres, Area.FromHectares(60).Acres);
        Same(UnitsNet.Area.FromAcres(60).Hectares, Area.FromAcres(60).Hectares);
    }

    [Fact]
    public void Rates_per_area_agree()
    {
        var gallons = UnitsNet.Volume.FromUsGallons(5000).CubicMeters / UnitsNet.Area.FromAcres(1).Hectares;
        var imperial = UnitsNet.Volume.FromImperialGallons(5000).CubicMeters / UnitsNet.Area.FromAcres(1).Hectares;
        var pounds = UnitsNet.Mass.FromPounds(140).Kilograms / UnitsNet.Area.FromAcres(1).Hectares;
        var tons = UnitsNet.Mass.FromShortTons(20).Kilograms / UnitsNet.Area.FromAcres(1).Hectares;
        Same(gallons, VolumeRate.FromUsGallonsPerAcre(5000).CubicMetresPerHectare);
        Same(5000, new VolumeRate(gallons).UsGallonsPerAcre);
        Same(imperial, VolumeRate.FromImperialGallonsPerAcre(5000).CubicMetresPerHectare);
        Same(5000, new VolumeRate(imperial).ImperialGallonsPerAcre);
        Same(pounds, NutrientRate<Nitrogen>.FromPoundsPerAcre(140).KilogramsPerHectare);
        Same(140, new NutrientRate<Nitrogen>(pounds).PoundsPerAcre);
        Same(tons, FreshMassRate.FromShortTonsPerAcre(20).KilogramsPerHectare);
        Same(20, new FreshMassRate(tons).ShortTonsPerAcre);
    }

    [Fact]
    public void Concentrations_densities_and_contents_agree()
    {
        Same(
            UnitsNet.Mass.FromPounds(50).Kilograms / UnitsNet.Volume.FromUsGallons(1000).CubicMeters,
            Concentration<Nitrogen>.FromPoundsPer1000UsGallons(50).KilogramsPerCubicMetre
        );
        Same(
            UnitsNet.Mass.FromPounds(50).Kilograms / UnitsNet.Volume.FromImperialGallons(1000).CubicMeters,
            Concentration<Nitrogen>.FromPoundsPer1000ImperialGallons(50).KilogramsPerCubicMetre
        );
        Same(
            UnitsNet.MassConcentration.From(2375, MassConcentrationUnit.MilligramPerLiter).GramsPerLiter,
            Concentration<Nitrogen>.FromMilligramsPerLitre(2375).GramsPerLitre
        );
        Same(
            UnitsNet.Mass.FromPounds(62).Kilograms / UnitsNet.Volume.FromCubicFeet(1).CubicMeters,
            Density.FromPoundsPerCubicFoot(62).KilogramsPerCubicMetre
        );
        Same(
            UnitsNet.Mass.FromKilograms(1010).Pounds / UnitsNet.Volume.FromCubicMeters(1).UsGallons,
            new Density(1010).PoundsPerUsGallon
        );
        Same(
            UnitsNet.MassFraction.FromPercent(1.7).PartsPerMillion,
            FreshContent<Nitrogen>.FromPercent(1.7).PartsPerMillion
        );
        Same(
            UnitsNet.MassFraction.FromPercent(1.7).GramsPerKilogram,
            FreshContent<Nitrogen>.FromPercent(1.7).KilogramsPerTonne
        );
    }

    private static void Same(double expected, double actual) =>
        Assert.Equal(expected, actual, Relative * Math.Abs(expected));
}
