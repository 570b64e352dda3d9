using System.Text;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Files;
using NutrientLedger.Journal.Fields;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// A farm's choice with its factor set. The set is null when this hub does not know or cannot read it.
/// </summary>
public sealed record ChosenSet(AvailabilitySetChosen Chosen, FactorSet? Set)
{
    /// <summary>Finds the set. The farm's own is in the event itself, published ones are found by their id.</summary>
    public static ChosenSet Of(AvailabilitySetChosen chosen) =>
        new(
            chosen,
            chosen.OwnSet is { } own
                ? FactorSetFile.Read(chosen.SetId, Encoding.UTF8.GetBytes(own)).Set
                : PublishedSets.Find(chosen.SetId)
        );
}
