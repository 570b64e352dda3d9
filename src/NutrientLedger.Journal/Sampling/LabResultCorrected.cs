using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Sampling;

/// <summary>
/// A laboratory report was replaced by another, for a reason. The superseded one stays in the journal but no longer
/// counts.
/// </summary>
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
