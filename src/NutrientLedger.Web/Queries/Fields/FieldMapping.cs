using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Contracts.Fields;

namespace NutrientLedger.Web.Queries.Fields;

/// <summary>Writes out what the register and the ledger say of fields.</summary>
internal static class FieldMapping
{
    private const double DegreeE7 = 1e7;

    public static FieldResponse Field(FarmConfiguration configuration, RegisteredField field) =>
        new(
            field.FieldId,
            field.Name,
            [
                .. field.Boundaries.Changes.Select(change => new BoundaryResponse(
                    configuration.Calendar!.ToFarmTime(change.FromMilliseconds),
                    BoundaryArea.SquareMetres(change.InForce),
                    [.. change.InForce.Parts.SelectMany(part => part.Holes.Prepend(part.Outer)).Select(Closed)]
                )),
            ]
        );

    public static BalanceResponse Balance(FarmSnapshot farm, RegisteredField field)
    {
        var balance = FieldBalance.Of(
            farm.Configuration,
            farm.View.Lines,
            farm.Whole.Coverage,
            field.FieldId,
            farm.Season
        );
        var (spread, plan) = (balance.Spread, balance.Plan);
        return new(
            farm.FarmId,
            field.FieldId,
            field.Name,
            farm.Season,
            farm.View.Position,
            plan?.Plan.PlannedCrop,
            plan is null ? null
                : plan.Plan.NitrogenBasis == NitrogenBasis.Total ? "total"
                : "available",
            balance.FieldSquareMetres,
            spread.VolumeCubicMetres,
            spread.DisengagedCubicMetres,
            WithoutComposition(spread),
            spread.FlaggedShare,
            [.. spread.FlaggedByRule.Select(FlagMapping.Response)],
            balance.CoveredSquareMetres,
            balance.OverlappedSquareMetres,
            spread.AreaTravelledSquareMetres,
            spread.CubicMetresPerHectareTravelled,
            spread.LastMeasuredAt,
            Nutrient(spread.TotalNitrogen.Kilograms, spread.TotalNitrogen.AtLeast, plan?.Nitrogen),
            Nutrient(spread.P2O5Kilograms, spread.Phosphorus.AtLeast, plan?.P2O5),
            Nutrient(spread.K2OKilograms, spread.Potassium.AtLeast, plan?.K2O),
            Elemental(spread),
            spread.AsMeasured is { } measured ? Elemental(measured) : null,
            AvailabilityMapping.Of(balance.Availability),
            farm.View.IsBeingCorrected,
            [.. Notes(balance), .. CorrectionNotes(farm)]
        );
    }

    public static ApplicationResponse Application(Application application)
    {
        var spread = application.Spread;
        return new(
            application.Day,
            application.ApplicatorId,
            application.PitId is { Length: > 0 } pit ? pit : null,
            application.FirstHour,
            application.LastHour,
            application.Method is { } method ? ApiWords.Of(method.Method) : null,
            application.Method?.IncorporatedAfterHours,
            spread.VolumeCubicMetres,
            spread.CubicMetresPerHectareTravelled,
            spread.TotalNitrogen.Kilograms,
            spread.AmmoniumNitrogen.Kilograms,
            spread.P2O5Kilograms,
            spread.K2OKilograms,
            WithoutComposition(spread)
        );
    }

    /// <summary>The volume that lacks at least one of the three nutrients of a plan.</summary>
    private static double WithoutComposition(SpreadAmounts spread) =>
        Math.Max(
            spread.TotalNitrogen.CubicMetresWithout,
            Math.Max(spread.Phosphorus.CubicMetresWithout, spread.Potassium.CubicMetresWithout)
        );

    private static NutrientResponse Nutrient(double kilograms, bool atLeast, PlannedAmount? planned) =>
        new(
            kilograms,
            atLeast,
            planned?.CountedKilograms,
            planned?.AllowedKilograms,
            planned?.RemainingKilograms,
            planned is { AllowedKilograms: > 0 and var allowed } ? planned.CountedKilograms / allowed : null
        );

    public static ElementalResponse Elemental(SpreadAmounts spread) =>
        new(
            spread.TotalNitrogen.Kilograms,
            spread.AmmoniumNitrogen.Kilograms,
            spread.OrganicNitrogen.Kilograms,
            spread.Phosphorus.Kilograms,
            spread.Potassium.Kilograms,
            spread.DryMatter.MeanFraction
        );

    private static IEnumerable<string> CorrectionNotes(FarmSnapshot farm) =>
        farm.View.IsBeingCorrected
            ? ["A correction is being posted. These figures are from before it. Try again in a moment."]
            : [];

    private static IEnumerable<string> Notes(FieldBalance balance)
    {
        if (balance.Plan?.Nitrogen?.Note is { } note)
            yield return balance.Plan.Plan.NitrogenBasis == NitrogenBasis.Available
                ? $"The plan counts available N, but {note}. Total N is shown; the remainder is unknown."
                : $"No comparison with the plan: {note}.";
        else if (
            balance is
            { Plan: { Nitrogen: not null, Plan.NitrogenBasis: NitrogenBasis.Available }, Availability.Set: { } set }
        )
            yield return $"The plan counts available N, by factor set {set.Id} ({Words.Of(set.Scheme)}).";
        if (balance.Spread.NegativeCubicMetres > 0)
            yield return "A calibration gives a negative content in part of the volume. Check its slope and intercept.";
        if (balance.Spread.Sums.Flagged[FlagRule.AmmoniumAboveTotal].Intervals > 0)
            yield return "Measured ammonium N exceeds total N. Have the sensor checked.";
    }

    private static IReadOnlyList<double[]> Closed(Ring ring) =>
        [
            .. ring
                .Corners.Append(ring.Corners[0])
                .Select(corner => new[] { corner.LongitudeE7 / DegreeE7, corner.LatitudeE7 / DegreeE7 }),
        ];
}
