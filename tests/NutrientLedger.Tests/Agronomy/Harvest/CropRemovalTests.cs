using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Factors.Files;
using NutrientLedger.Agronomy.Harvest;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Harvest;

public sealed class CropRemovalTests
{
    private static readonly Circumstances CornGrain = new() { Crop = "corn", Part = HarvestedPart.Grain };

    private static readonly Circumstances CornStover = new() { Crop = "corn", Part = HarvestedPart.Stover };

    private static readonly Circumstances Soybean = new() { Crop = "soybean", Part = HarvestedPart.Grain };

    private static readonly FactorSet Standards = PublishedSets.Find("harvest-standards")!;

    // International Plant Nutrition Institute, Plant Nutrition Today, Fall 2008, No. 4 (seen): 200 bu x 0.27 -> 54 lb
    // K2O/ac; stover 200 x 1.1 -> 220, half of it removed -> 110 lb K2O/ac. Exact.
    [Fact]
    public void Corn_removes_potash_with_its_grain_and_with_half_its_stover()
    {
        var set = PublishedSets.Find("north-central-removal")!;
        var yield = new BushelYield(200);
        Assert.Equal(54, Potash(CornGrain, yield), 1e-9);
        Assert.Equal(220, Potash(CornStover, yield), 1e-9);
        Assert.Equal(110, Potash(CornStover, yield.Share(0.5)), 1e-9);

        double Potash(Circumstances crop, HarvestedYield harvested) =>
            CropRemoval.FromYield(harvested, crop, RemovedNutrients.K2O, set).Value.K2O!.Value.Pounds;
    }

    // University of Nebraska CropWatch, 10 Aug 2012 (seen): 30 lb N per ton of dry matter at 60 % water -> 12 lb N per
    // fresh ton. Exact.
    [Fact]
    public void Immature_corn_at_sixty_percent_water_holds_less_nitrogen_per_fresh_ton()
    {
        var oneTon = new WeighedYield(FreshMass.FromShortTons(1), DryMatter.FromMoisturePercent(60));
        var crop = new Circumstances { Crop = "corn", Part = HarvestedPart.WholePlant };
        var set = PublishedSets.Find("nebraska-silage-2012")!;
        var removed = CropRemoval.FromYield(oneTon, crop, RemovedNutrients.Nitrogen, set).Value;
        Assert.Equal(12, removed.Nitrogen!.Value.Pounds, 1e-9);
        Assert.Equal(12, DryContent<Nitrogen>.FromPoundsPerShortTon(30).AsIs(oneTon.DryMatter).PoundsPerShortTon, 1e-9);
    }

    // University of Nebraska Extension column "Nutrients in hay hold value as fertilizer" (seen): 2,000 lb at 17 %
    // crude protein -> 340 lb, over 6.25 -> 54.4 lb N, of which 35 % available after feeding -> 19 lb; K 2.4 % -> 48
    // lb. Tolerance 0.1, and 0.5 for the 19. The column computes on the hay as it is, so its percentages are put in at
    // 100 % dry matter. Its phosphorus line (0.03 % for 6 lb) and a second "52 lb K" do not fit together and are not
    // used.
    [Fact]
    public void Hay_removes_nitrogen_in_its_protein()
    {
        var hay = new WeighedYield(FreshMass.FromPounds(2000), new DryMatter(1));
        var analysis = new CropAnalysis(
            DryContent<CrudeProtein>.FromPercent(17),
            null,
            DryContent<Potassium>.FromPercent(2.4)
        );
        var removed = CropRemoval.FromAnalysis(hay, analysis, isLegume: false, Standards).Value;
        Assert.Equal(340, (analysis.CrudeProtein!.Value.AsIs(hay.DryMatter) * hay.Fresh).Pounds, 0.1);
        Assert.Equal(54.4, removed.Nitrogen!.Value.Pounds, 0.1);
        Assert.Equal(19, removed.Nitrogen.Value.Pounds * 0.35, 0.5);
        Assert.Equal(48, removed.K2O!.Value.As<Potassium>().Pounds, 0.1);
        Assert.Null(removed.P2O5);
    }

    // Ohio State University Extension, ANR-74, 2019 (seen): 180 bu of corn and 60 bu of soybean remove 100 to 120 lb/ac
    // each of P2O5 and K2O. The coefficients of the set are those of Bulletin 974, from memory.
    [Fact]
    public void A_rotation_of_corn_and_soybean_removes_what_Ohio_says()
    {
        var set = PublishedSets.Find("tri-state-removal-2020")!;
        const RemovedNutrients minerals = RemovedNutrients.P2O5 | RemovedNutrients.K2O;
        var corn = CropRemoval.FromYield(new BushelYield(180), CornGrain, minerals, set).Value;
        var soybean = CropRemoval.FromYield(new BushelYield(60), Soybean, minerals, set).Value;
        Assert.InRange((corn.P2O5!.Value + soybean.P2O5!.Value).Pounds, 100, 120);
        Assert.InRange((corn.K2O!.Value + soybean.K2O!.Value).Pounds, 100, 120);
    }

    [Fact]
    public void Nitrogen_of_a_legume_is_listed_separately()
    {
        var set = PublishedSets.Find("ontario-removal-2025")!;
        var soybean = CropRemoval
            .FromYield(new BushelYield(60), Soybean with { RangeEnd = RangeEnd.Low }, RemovedNutrients.All, set)
            .Value;
        var corn = CropRemoval
            .FromYield(new BushelYield(60), CornGrain with { RangeEnd = RangeEnd.Low }, RemovedNutrients.All, set)
            .Value;
        Assert.Null(soybean.Nitrogen);
        Assert.Equal(60 * 3.7, soybean.LegumeNitrogen!.Value.Pounds, 1e-9);
        Assert.Null(corn.LegumeNitrogen);
        Assert.Equal(60 * 0.65, corn.Nitrogen!.Value.Pounds, 1e-9);
    }

    [Fact]
    public void A_published_range_gives_two_removals_and_never_one_without_asking()
    {
        var set = PublishedSets.Find("ontario-removal-2025")!;
        var asked = CropRemoval.FromYield(new BushelYield(100), CornGrain, RemovedNutrients.All, set);
        Assert.Equal(3, asked.Missing.Length);
        double P2O5(RangeEnd end) =>
            CropRemoval
                .FromYield(new BushelYield(100), CornGrain with { RangeEnd = end }, RemovedNutrients.All, set)
                .Value.P2O5!.Value.Pounds;
        Assert.Equal((37.0, 44.0), (Math.Round(P2O5(RangeEnd.Low), 9), Math.Round(P2O5(RangeEnd.High), 9)));
    }

    [Fact]
    public void A_yield_in_another_unit_than_the_coefficient_is_rejected()
    {
        var set = PublishedSets.Find("north-central-removal")!;
        var weighed = new WeighedYield(FreshMass.FromTonnes(10), DryMatter.FromPercent(85));
        var answer = CropRemoval.FromYield(weighed, CornGrain, RemovedNutrients.K2O, set);
        Assert.Contains("k2o-removed/corn/grain is given in lb/bu", Assert.Single(answer.Missing).Reason);
    }

    [Fact]
    public void The_basis_of_a_coefficient_holds_at_any_harvest_moisture()
    {
        // North Dakota State University, 5 Aug 2021 (seen): 0.63 % N of the fresh weight at 65 % moisture, so 12.6 lb
        // per ton there.
        var set = PublishedSets.Find("north-dakota-silage-2021")!;
        var crop = new Circumstances { Crop = "corn", Part = HarvestedPart.Silage };
        var standard = new WeighedYield(FreshMass.FromShortTons(1), DryMatter.FromPercent(35));
        double Pounds(WeighedYield yield) =>
            CropRemoval.FromYield(yield, crop, RemovedNutrients.Nitrogen, set).Value.Nitrogen!.Value.Pounds;
        Assert.Equal(12.6, Pounds(standard), 1e-9);
        Assert.Equal(12.6, Pounds(standard.At(DryMatter.FromPercent(28))), 1e-9);
        Assert.Equal(12.6 * 28 / 35, Pounds(new(standard.Fresh, DryMatter.FromPercent(28))), 1e-9);
    }
}
