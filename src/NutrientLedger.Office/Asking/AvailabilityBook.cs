using NutrientLedger.Agronomy;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out what the ledger reckons as available, with what made the numbers.</summary>
internal static class AvailabilityBook
{
    public static AvailabilityAnswer? Of(FieldAvailability? availability) =>
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
                [.. Used(availability).Distinct().Select(Figure)]
            );

    private static IEnumerable<UsedFigure> Used(FieldAvailability availability) =>
        new[]
        {
            availability.Nitrogen,
            availability.Phosphorus,
            availability.Potassium,
            availability.CarriedOverNitrogen,
        }.SelectMany(amount => amount.Figures);

    private static AvailableAnswer Amount(AvailableAmount amount, double perElement) =>
        new(amount.Kilograms * perElement, amount.AtLeast, amount.ShareOfVolume, amount.Reason);

    private static UsedFigureAnswer Figure(UsedFigure used) =>
        new(used.Figure.Name, used.Value, used.Figure.Unit, used.Figure.Place, Words.Of(used.Figure.Mark));
}
