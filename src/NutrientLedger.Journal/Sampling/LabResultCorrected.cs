using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Sampling;

/// <summary>A laboratory report was replaced by another, for a reason; the one it supersedes stays in the journal and counts no more.</summary>
public sealed record LabResultCorrected(string SupersededId, LabResultReported Result, string By, string Reason)
    : IDefinedEvent<LabResultCorrected>
{
    public static EventDefinition<LabResultCorrected> Definition { get; } =
        new("lab_result_corrected", new(EventRoute.LaboratoryReport, "reports"))
        {
            Changes = EventChanges.Nothing,
            Subject = corrected => corrected.Result.ReportId,
        };
}
