using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Web.Contracts.Fields;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Queries.Fields;

/// <summary>Maps available nutrients and the coefficients used to responses.</summary>
internal static class AvailabilityMapping
{
    public static AvailabilityResponse? Of(FieldAvailability? availability) =>
        availability is null
            ? null
            : new(
                availability.Chosen.SetId,
                availability.Set?.Source,
                availability.Set is { } set ? Words.Of(set.Scheme) : null,
                Amount(availability.Nitrogen),
                Amount(availability.P2O5),
                Amount(availability.K2O),
                Amount(availability.CarriedOverNitrogen),
                [.. availability.Coefficients.Select(Coefficient)]
            );

    private static AvailableResponse Amount(AvailableAmount amount) =>
        new(amount.Kilograms, amount.AtLeast, amount.ShareOfVolume, UnavailableWording.Of(amount.Unavailable));

    private static UsedCoefficientResponse Coefficient(UsedCoefficient used) =>
        new(
            used.Coefficient.Name,
            used.Value,
            used.Coefficient.Unit,
            used.Coefficient.Place,
            Words.Of(used.Coefficient.Mark)
        );
}
