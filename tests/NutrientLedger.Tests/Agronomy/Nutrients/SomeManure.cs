using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Factors.Files;
using NutrientLedger.Agronomy.Nutrients;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Nutrients;

/// <summary>Manures, sets and circumstances that several tests share.</summary>
internal static class SomeManure
{
    public static FactorSet Alberta => PublishedSets.Find("alberta-2007")!;

    public static FactorSet Saskatchewan => PublishedSets.Find("saskatchewan-hog")!;

    public static FactorSet NewYork => PublishedSets.Find("new-york")!;

    public static FactorSet Minnesota => PublishedSets.Find("minnesota")!;

    public static Circumstances InjectedInACoolWetSpring { get; } =
        new()
        {
            Form = ManureForm.Liquid,
            Method = ApplicationMethod.ClosedSlotInjection,
            Weather = WeatherClass.CoolWet,
        };

    /// <summary>The liquid of Alberta's example: 3.8 g/L total N of which 1.9 is ammonium.</summary>
    public static NitrogenForms<Concentration<Nitrogen>> AlbertaLiquid { get; } =
        NitrogenAnalysis.OfTotal(new Concentration<Nitrogen>(3.8), new Concentration<Nitrogen>(1.9));
}
