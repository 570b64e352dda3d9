using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Web.Contracts.Fields;

namespace NutrientLedger.Web.Queries.Fields;

/// <summary>Writes out what the ledger reckons as available, with what made the numbers.</summary>
internal static class AvailabilityMapping
{
    public static AvailabilityResponse? Of(FieldAvailability? availability) =>
        availability is null
            ? null
            : new(
                availability.Chosen.SetId,
                availability.Set?.Source,
                availability.Set is { } set ? Words.Of(set.Scheme) : null,
                Amount(availability.Nitrogen, 1),
                Amount(availability.Phosphorus, Oxides.P2O5PerPhosphorus),
                Amount(availability.Potassium, Oxides.K2OPerPotassium),
                Amount(availability.CarriedOverNitrogen, 1),
                [.. Used(availability).Distinct().Select(Coefficient)]
            );

    private static IEnumerable<UsedCoefficient> Used(FieldAvailability availability) =>
        new[]
        {
            availability.Nitrogen,
            availability.Phosphorus,
            availability.Potassium,
            availability.CarriedOverNitrogen,
        }.SelectMany(amount => amount.Coefficients);

    private static AvailableResponse Amount(AvailableAmount amount, double perElement) =>
        new(amount.Kilograms * perElement, amount.AtLeast, amount.ShareOfVolume, amount.Reason);

    private static UsedCoefficientResponse Coefficient(UsedCoefficient used) =>
        new(
            used.Coefficient.Name,
            used.Value,
            used.Coefficient.Unit,
            used.Coefficient.Place,
            Words.Of(used.Coefficient.Mark)
        );
}
