using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>
/// Names the property of a request that keeps a calibration from being adopted, and what to write there.
/// </summary>
internal static class AdoptionProblemMapping
{
    private const string WholeHour = "write a full hour in farm time";

    /// <summary>The property and what to do, without a full stop.</summary>
    public static (string Property, string Fix) Of(
        AdoptionProblem problem,
        CalibrationCandidate candidate,
        FarmConfiguration configuration
    ) =>
        problem.Code switch
        {
            AdoptionProblemCode.IdMissing => ("calibration", "write a new id, such as nir-1-nitrogen-2026"),
            AdoptionProblemCode.IdInvalid => ("calibration", "use 1 to 100 of A-Z, a-z, 0-9, - and _"),
            AdoptionProblemCode.AdopterMissing => ("by", "write who adopts it"),
            AdoptionProblemCode.ReasonMissing => ("reason", "write the reason for this calibration"),
            AdoptionProblemCode.SensorUnknown => (
                "sensor",
                $"name one of {List(configuration.Sensors.Select(sensor => sensor.SensorId).Distinct())}"
            ),
            AdoptionProblemCode.PitUnknown => (
                "pit",
                $"name one of {List(configuration.Pits.Select(pit => pit.PitId))}, or leave it out for all"
            ),
            AdoptionProblemCode.AnalyteUnknown => ("analyte", $"write one of {List(CalibrationMapping.Words)}"),
            AdoptionProblemCode.InterceptInOtherUnit => (
                candidate.IsDryMatter ? MilligramsPerLitre : PartsPerMillion,
                $"use {PartsPerMillion} for dry matter and {MilligramsPerLitre} for nutrients"
            ),
            AdoptionProblemCode.SlopeOutOfRange => (
                "slope",
                $"write a number above 0 and up to {AdoptionCheck.SlopeMax}, with at most six decimals"
            ),
            AdoptionProblemCode.InterceptOutOfRange => (
                candidate.IsDryMatter ? PartsPerMillion : MilligramsPerLitre,
                $"write a number from -{AdoptionCheck.InterceptMax} to {AdoptionCheck.InterceptMax}, with at most three decimals"
            ),
            AdoptionProblemCode.ValidFromMissing => (
                "validFrom",
                "write the first hour it applies to, such as 2026-04-21T14:00:00Z"
            ),
            AdoptionProblemCode.ValidFromWithinHour => ("validFrom", WholeHour),
            AdoptionProblemCode.ValidToWithinHour => ("validTo", WholeHour),
            AdoptionProblemCode.ValidToNotAfterFrom => ("validTo", "write a time after validFrom, or leave it out"),
            AdoptionProblemCode.ReportUnknown => (
                "labReports",
                $"there is no laboratory report {problem.ReportId}; enter it first with POST lab-results"
            ),
            AdoptionProblemCode.ReportSuperseded => (
                "labReports",
                $"{problem.ReportId} was replaced by {problem.SupersededBy}; use that one"
            ),
            AdoptionProblemCode.IdReserved => (
                "calibration",
                $"Ids starting with {AdoptionRuling.IdStart} are reserved for the farm's rules. Choose another id"
            ),
            AdoptionProblemCode.IdTaken => (
                "calibration",
                "Choose another id. If two cover the same hours, the later one applies"
            ),
            _ => throw new ArgumentOutOfRangeException(nameof(problem)),
        };

    private const string MilligramsPerLitre = "interceptMilligramsPerLitre";
    private const string PartsPerMillion = "interceptPartsPerMillion";

    private static string List(IEnumerable<string> known) => string.Join(", ", known);
}
