using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Contracts.Fields;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Queries.Fields;

/// <summary>Maps fields, balances and applications to responses.</summary>
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
        var unposted = farm.View.UnpostedBatches > 0;
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
            spread.CubicMetresWithoutPlanNutrient,
            spread.FlaggedShare,
            [.. spread.FlaggedByRule.Select(FlagMapping.Response)],
            InNoSpreadZones(spread),
            balance.CoveredSquareMetres,
            balance.OverlappedSquareMetres,
            spread.AreaTravelledSquareMetres,
            spread.CubicMetresPerHectareTravelled,
            spread.LastMeasuredAt,
            Nutrient(spread.TotalNitrogen.Kilograms, unposted || spread.TotalNitrogen.AtLeast, plan?.Nitrogen),
            Nutrient(spread.P2O5Kilograms, unposted || spread.Phosphorus.AtLeast, plan?.P2O5),
            Nutrient(spread.K2OKilograms, unposted || spread.Potassium.AtLeast, plan?.K2O),
            Elemental(spread),
            spread.AsMeasured is { } measured ? Elemental(measured) : null,
            AvailabilityMapping.Of(balance.Availability),
            farm.View.IsBeingCorrected,
            [
                .. UnpostedWording.Of(farm.View.UnpostedBatches),
                .. MeterWording.OfUnknown(
                    farm.View.Lines.Where(line => line.Key.Season == farm.Season)
                        .Sum(line => line.Value.UnknownIntervals)
                ),
                .. balance.Notes.Select(note => InWords(note, balance)),
                .. CorrectionNotes(farm),
            ]
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
            spread.CubicMetresWithoutPlanNutrient
        );
    }

    private static NutrientResponse Nutrient(double kilograms, bool atLeast, PlannedAmount? planned) =>
        new(
            kilograms,
            atLeast,
            planned?.CountedKilograms,
            planned?.AllowedKilograms,
            planned?.RemainingKilograms,
            planned?.ShareCounted
        );

    /// <summary>The part spread inside no-spread zones. Null when nothing was.</summary>
    public static NoSpreadZonesResponse? InNoSpreadZones(SpreadAmounts spread) =>
        spread.InNoSpreadZones is { } inside
            ? new(
                inside.VolumeCubicMetres,
                inside.TotalNitrogen.Kilograms,
                inside.P2O5Kilograms,
                inside.TotalNitrogen.AtLeast || inside.Phosphorus.AtLeast,
                NoSpreadZoneWording.Caution
            )
            : null;

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
            ? ["A correction is being posted. These values are from before it. Try again in a moment."]
            : [];

    private static string InWords(BalanceNote note, FieldBalance balance) =>
        note switch
        {
            BalanceNote.AvailableNitrogenUnknown =>
                $"The plan counts available N, but {UnavailableWording.Of(balance.Plan!.Nitrogen!.Unavailable)}. Total N is shown; the remainder is unknown.",
            BalanceNote.NoComparison =>
                $"No comparison with the plan: {UnavailableWording.Of(balance.Plan!.Nitrogen!.Unavailable)}.",
            BalanceNote.AvailableNitrogenCounted =>
                $"The plan counts available N, by factor set {balance.Availability!.Set!.Id} ({Words.Of(balance.Availability.Set.Scheme)}).",
            BalanceNote.NegativeContent =>
                "A calibration gives a negative content in part of the volume. Check its slope and intercept.",
            BalanceNote.AmmoniumAboveTotal => "Measured ammonium N exceeds total N. Have the sensor checked.",
            _ => throw new ArgumentOutOfRangeException(nameof(note)),
        };

    private static IReadOnlyList<double[]> Closed(Ring ring) =>
        [
            .. ring
                .Corners.Append(ring.Corners[0])
                .Select(corner => new[] { corner.LongitudeE7 / DegreeE7, corner.LatitudeE7 / DegreeE7 }),
        ];
}
