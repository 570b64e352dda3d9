using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Import;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out the laboratory reports of a farm, as printed and as they are understood.</summary>
internal static class LabBook
{
    public static IEnumerable<LabResultAnswer> All(RegisterAt at)
    {
        var recorded = at
            .Entries.Where(entry => entry.Entry is LabResultReported or LabResultCorrected)
            .Select(entry => entry.RecordedAt);
        return at.Register.LabReports.All.Zip(recorded, Answer);
    }

    private static LabResultAnswer Answer(LabReport report, DateTimeOffset recordedAt)
    {
        var result = report.Result;
        return new(
            result.ReportId,
            recordedAt,
            result.SampleId,
            result.Laboratory,
            result.SampledFrom,
            result.SampledTo,
            result.PitId,
            result.SensorId,
            result.ApplicatorId,
            result.Method,
            result.ReportedOn,
            result.Density?.Value,
            result.Density is { } density ? LabWords.Of(LabWords.DensityUnits, density.Unit) : null,
            result.EnteredBy,
            report.Supersedes,
            report.Why,
            report.SupersededBy,
            [.. result.Values.Zip(LabContent.Of(result), Value)]
        );
    }

    private static LabValueAnswer Value(PrintedValue printed, LabContent content) =>
        new(
            LabWords.Of(LabWords.What, printed.What),
            printed.Value,
            LabWords.Of(LabWords.Units, printed.Unit),
            LabWords.Of(LabWords.Bases, printed.Basis),
            CalibrationBook.Word(content.Analyte),
            content.Analyte == Analyte.DryMatter ? null : content.InSensorUnit,
            content.FractionOfFreshMass
        );
}
