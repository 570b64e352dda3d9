using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Sampling;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>Maps laboratory reports to responses, as printed and as interpreted.</summary>
internal static class LabMapping
{
    public static IEnumerable<LabResultResponse> All(ConfigurationSnapshot at)
    {
        var recorded = at
            .Events.Where(@event => @event.Event is LabResultReported or LabResultCorrected)
            .Select(@event => @event.RecordedAt);
        return at.Configuration.LabReports.All.Zip(recorded, Response);
    }

    private static LabResultResponse Response(LabReport report, DateTimeOffset recordedAt)
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
            result.Density is { } density ? LabReportWords.Of(LabReportWords.DensityUnits, density.Unit) : null,
            result.By,
            report.Supersedes,
            report.Reason,
            report.SupersededBy,
            [.. result.Values.Zip(LabContent.Of(result), Value)]
        );
    }

    private static LabValueResponse Value(PrintedValue printed, LabContent content) =>
        new(
            LabReportWords.Of(LabReportWords.What, printed.What),
            printed.Value,
            LabReportWords.Of(LabReportWords.Units, printed.Unit),
            LabReportWords.Of(LabReportWords.Bases, printed.Basis),
            CalibrationMapping.Word(content.Analyte),
            content.Analyte == Analyte.DryMatter ? null : content.InSensorUnit,
            content.FractionOfFreshMass
        );
}
