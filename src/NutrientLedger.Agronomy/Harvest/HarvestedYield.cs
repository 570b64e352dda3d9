using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Agronomy.Harvest;

/// <summary>A harvested yield, in the measure in which it was counted.</summary>
public abstract record HarvestedYield
{
    /// <summary>A share of the yield, such as the half of the stover that was baled.</summary>
    public abstract HarvestedYield Share(double share);
}

/// <summary>Grain counted in trade bushels.</summary>
public sealed record BushelYield(double Bushels) : HarvestedYield
{
    public override HarvestedYield Share(double share) => new BushelYield(Bushels * share);

    /// <summary>The mass of the bushels, at the trade weight that a set gives for the crop.</summary>
    public TracedValue<FreshMass> Weigh(string crop, FactorSet set)
    {
        var provenance = new Provenance(set);
        var pounds = provenance.Value(CoefficientKind.BushelWeight, new() { Crop = crop, Part = HarvestedPart.Grain });
        return provenance.Trace(FreshMass.FromPounds(Bushels * pounds));
    }
}

/// <summary>A crop weighed as harvested, with its dry matter at that time. A yield needs this basis.</summary>
public sealed record WeighedYield(FreshMass Fresh, DryMatter DryMatter) : HarvestedYield
{
    /// <summary>The dry mass in it, kg.</summary>
    public double DryKilograms => Fresh.Kilograms * DryMatter.Fraction;

    public static WeighedYield OfDryMass(double dryKilograms, DryMatter dryMatter) =>
        new(new(dryKilograms / dryMatter.Fraction), dryMatter);

    public override HarvestedYield Share(double share) => new WeighedYield(Fresh * share, DryMatter);

    /// <summary>The same crop at another dry matter. The dry mass stays.</summary>
    public WeighedYield At(DryMatter basis) => OfDryMass(DryKilograms, basis);

    /// <summary>The same crop at the dry matter at which it is weighed or sold, as given by a set.</summary>
    public TracedValue<WeighedYield> AtStandard(string crop, HarvestedPart part, FactorSet set)
    {
        var provenance = new Provenance(set);
        var found = provenance.Use(CoefficientKind.StandardDryMatter, new() { Crop = crop, Part = part });
        return provenance.Trace(found is null ? this : At(DryMatter.FromPercent(found.Value)));
    }
}
