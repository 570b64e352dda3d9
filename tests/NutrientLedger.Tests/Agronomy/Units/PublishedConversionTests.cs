using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Units;

/// <summary>
/// Conversions against worked examples of extension services and governments. Roundings by the publisher are named.
/// </summary>
public sealed class PublishedConversionTests
{
    private static readonly DryMatter TenAndAHalfPercent = DryMatter.FromPercent(10.5);

    // Livestock and Poultry Environmental Learning Community, "Manure testing: common manure test results conversions"
    // (seen): 10.5 % solids, 1.4 % P dry basis -> 2.9 lb P/ton, times 2.3 -> 6.7 lb P2O5/ton. Tolerance 0.05 lb, and
    // 0.1 lb for the oxide, because the page multiplies the rounded 2.9 by a rounded 2.3; at full precision it is
    // 6.736.
    [Fact]
    public void Dry_basis_percent_becomes_pounds_per_ton_as_is()
    {
        var phosphorus = DryContent<Phosphorus>.FromPercent(1.4).AsIs(TenAndAHalfPercent);
        Assert.Equal(2.9, phosphorus.PoundsPerShortTon, 0.05);
        Assert.Equal(6.7, phosphorus.As<P2O5>().PoundsPerShortTon, 0.1);
        Assert.Equal(2.9 * 2.3, 6.7, 0.05);
    }

    // Same page (seen): 10.5 % solids, 14,000 ppm P dry basis, 8.3 lb/gal -> 12.2 lb P/1000 gal, times 2.3 -> 28.1 lb
    // P2O5. Tolerance 0.05 lb, and 0.2 lb for the oxide, because of the page's 2.3; at full precision it is 27.95.
    [Fact]
    public void Dry_basis_parts_per_million_become_pounds_per_thousand_us_gallons()
    {
        var density = Density.FromPoundsPerUsGallon(8.3);
        var phosphorus = DryContent<Phosphorus>.FromPartsPerMillion(14_000).AsIs(TenAndAHalfPercent) * density;
        Assert.Equal(12.2, phosphorus.PoundsPer1000UsGallons, 0.05);
        Assert.Equal(28.1, phosphorus.As<P2O5>().PoundsPer1000UsGallons, 0.2);
    }

    // Alberta Agriculture and Food, Agdex 400/28-3, p. 127 (seen): a 20 L pail of 19.48 kg -> 974 kg/m³; a pile of 203
    // m³ -> 198 t. Tolerance 0.5 kg/m³ and 0.5 t. The page continues with 975 instead of its own 974: 197.9 t against
    // 197.7 t here.
    [Fact]
    public void A_weighed_pail_gives_the_weight_of_the_pile()
    {
        var density = new FreshMass(19.48) / Volume.FromLitres(20);
        Assert.Equal(974, density.KilogramsPerCubicMetre, 0.5);
        Assert.Equal(198, (new Volume(203) * density).Tonnes, 0.5);
    }

    // Defra, guidance leaflet on nitrate vulnerable zones (seen): 276 acres x 0.405 -> 112 ha, exactly 111.69,
    // tolerance 0.5 ha for the leaflet's rounded acre; 35 m³/ha on 8 ha -> 280 m³, exact.
    [Fact]
    public void Acres_become_hectares_and_a_rate_on_hectares_a_volume()
    {
        Assert.Equal(112, Area.FromAcres(276).Hectares, 0.5);
        Assert.Equal(111.69, Area.FromAcres(276).Hectares, 0.005);
        Assert.Equal(280, (new VolumeRate(35) * Area.FromHectares(8)).CubicMetres, 1e-9);
    }

    // Alberta Agriculture and Food, Agdex 400/28-3, table 4.1.3, p. 126 (seen). Tolerances are half of the last digit
    // printed; 7.481 is printed for 7.480519, hence 0.0005.
    [Fact]
    public void A_cubic_foot_and_the_two_gallons_are_as_printed()
    {
        Assert.Equal(7.481, Volume.FromCubicFeet(1).UsGallons, 0.0005);
        Assert.Equal(6.229, Volume.FromCubicFeet(1).ImperialGallons, 0.0005);
        Assert.Equal(28.32, Volume.FromCubicFeet(1).Litres, 0.005);
        Assert.Equal(3.785, Volume.FromUsGallons(1).Litres, 0.0005);
        Assert.Equal(4.546, Volume.FromImperialGallons(1).Litres, 0.0005);
    }

    // Fertilizer Association of Ireland, "Animal manures" (seen): 11 m³/ha is 1,000 gal/ac. That holds for Imperial
    // gallons (11.23) and not for those of the United States (9.35). Tolerance 0.5 m³/ha.
    [Fact]
    public void Irish_gallons_per_acre_are_imperial()
    {
        Assert.Equal(11, VolumeRate.FromImperialGallonsPerAcre(1000).CubicMetresPerHectare, 0.5);
        Assert.NotEqual(11, VolumeRate.FromUsGallonsPerAcre(1000).CubicMetresPerHectare, 0.5);
    }

    // Ontario order 13-043 (seen): 45,000 L/ha is printed as 4,000 gal/ac; Imperial 4,006, United States 4,811.
    // Tolerance 10.
    [Fact]
    public void Ontario_gallons_per_acre_are_imperial()
    {
        Assert.Equal(4000, VolumeRate.FromLitresPerHectare(45_000).ImperialGallonsPerAcre, 10.0);
        Assert.Equal(4811, VolumeRate.FromLitresPerHectare(45_000).UsGallonsPerAcre, 1.0);
    }

    // Northeast Organic Farming Association, soil manual, appendix A (seen): 1 % is 20 lb/ton; ppm / 500 is lb/ton.
    // Exact.
    [Fact]
    public void Percent_and_parts_per_million_become_pounds_per_ton()
    {
        Assert.Equal(20, FreshContent<Nitrogen>.FromPercent(1).PoundsPerShortTon, 1e-12);
        Assert.Equal(1, FreshContent<Nitrogen>.FromPartsPerMillion(500).PoundsPerShortTon, 1e-12);
    }

    // Derived from the definitions, no publisher: 1 lb/1000 US gal = 0.119826 g/L; 1 % of a liquid of 8.34 lb/gal =
    // 83.4 lb/1000 gal.
    [Fact]
    public void Pounds_per_thousand_gallons_are_grams_per_litre()
    {
        Assert.Equal(0.119826, Concentration<Nitrogen>.FromPoundsPer1000UsGallons(1).GramsPerLitre, 5e-7);
        Assert.Equal(8.34540, new Concentration<Nitrogen>(1).PoundsPer1000UsGallons, 5e-6);
        var onePercent = FreshContent<Nitrogen>.FromPercent(1) * Density.FromPoundsPerUsGallon(8.34);
        Assert.Equal(83.4, onePercent.PoundsPer1000UsGallons, 1e-9);
    }
}
