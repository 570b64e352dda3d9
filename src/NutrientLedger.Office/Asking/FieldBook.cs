using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out what the register and the ledger say of fields.</summary>
internal static class FieldBook
{
    private const double DegreeE7 = 1e7;

    public static FieldAnswer Field(Register register, RegisteredField field) =>
        new(
            field.FieldId,
            field.Name,
            [
                .. field.Boundaries.Changes.Select(change => new BoundaryAnswer(
                    register.Calendar!.OnTheClock(change.FromMilliseconds),
                    BoundaryArea.SquareMetres(change.InForce),
                    [.. change.InForce.Parts.SelectMany(part => part.Holes.Prepend(part.Outer)).Select(Closed)]
                )),
            ]
        );

    public static BalanceAnswer Balance(FarmStanding farm, RegisteredField field)
    {
        var balance = FieldBalance.Of(farm.Register, farm.View.Lines, farm.Whole.Coverage, field.FieldId, farm.Season);
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
            [.. spread.FlaggedByRule.Select(FlagWords.Answer)],
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
            AvailabilityBook.Of(balance.Availability),
            farm.View.IsBeingCorrected,
            [.. Notes(balance), .. Pending(farm)]
        );
    }

    public static ApplicationAnswer Application(Application application)
    {
        var spread = application.Spread;
        return new(
            application.Day,
            application.ApplicatorId,
            application.PitId is { Length: > 0 } pit ? pit : null,
            application.FirstHour,
            application.LastHour,
            application.Method is { } method ? TradeWords.Of(method.Method) : null,
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

    private static NutrientAnswer Nutrient(double kilograms, bool atLeast, PlannedAmount? planned) =>
        new(
            kilograms,
            atLeast,
            planned?.CountedKilograms,
            planned?.AllowedKilograms,
            planned?.RemainingKilograms,
            planned is { AllowedKilograms: > 0 and var allowed } ? planned.CountedKilograms / allowed : null
        );

    public static ElementalAnswer Elemental(SpreadAmounts spread) =>
        new(
            spread.TotalNitrogen.Kilograms,
            spread.AmmoniumNitrogen.Kilograms,
            spread.OrganicNitrogen.Kilograms,
            spread.Phosphorus.Kilograms,
            spread.Potassium.Kilograms,
            spread.DryMatter.MeanFraction
        );

    private static IEnumerable<string> Pending(FarmStanding farm) =>
        farm.View.IsBeingCorrected
            ? ["A correction is being posted; these are the figures before it. Ask again in a moment."]
            : [];

    private static IEnumerable<string> Notes(FieldBalance balance)
    {
        if (balance.Plan?.Nitrogen?.Note is { } note)
            yield return balance.Plan.Plan.NitrogenBasis == NitrogenBasis.Available
                ? $"The plan counts available nitrogen, but {note}: total nitrogen spread is shown, and what remains is not known."
                : $"Nothing can be held against the plan: {note}.";
        else if (
            balance is
            { Plan: { Nitrogen: not null, Plan.NitrogenBasis: NitrogenBasis.Available }, Availability.Set: { } set }
        )
            yield return $"The plan counts available nitrogen; it is reckoned by {set.Id} (scheme {Words.Of(set.Scheme)}).";
        if (balance.Spread.NegativeCubicMetres > 0)
            yield return "A calibration makes a content less than nothing in part of the volume; look at its slope and intercept.";
        if (balance.Spread.Sums.Flagged[FlagRule.AmmoniumAboveTotal].Intervals > 0)
            yield return "Ammonium nitrogen above total nitrogen was measured; have the sensor looked at.";
    }

    private static IReadOnlyList<double[]> Closed(Ring ring) =>
        [
            .. ring
                .Corners.Append(ring.Corners[0])
                .Select(corner => new[] { corner.LongitudeE7 / DegreeE7, corner.LatitudeE7 / DegreeE7 }),
        ];
}
