using System.Collections.Immutable;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Sampling;

/// <summary>
/// A laboratory reported its results for a sample: of a pit, of the flow past a sensor, or of what left an applicator.
/// In the last case neither pit nor sensor is named. A hub that does not know of the applicator then computes nothing
/// from it. The values are kept as the laboratory printed them. They are converted to the units of the ledger when
/// read.
/// </summary>
public sealed record LabResultReported(
    string ReportId,
    string SampleId,
    string Laboratory,
    DateTimeOffset SampledFrom,
    DateTimeOffset SampledTo,
    string? PitId,
    string? SensorId,
    string Method,
    DateOnly ReportedOn,
    ImmutableArray<PrintedValue> Values,
    PrintedDensity? Density,
    string By,
    string? ApplicatorId = null
) : IDefinedEvent<LabResultReported>
{
    public static EventDefinition<LabResultReported> Definition { get; } =
        new("lab_result_reported", new(EventRoute.LaboratoryReport, "reports"))
        {
            Changes = EventChanges.Nothing,
            Subject = report => report.ReportId,
        };
}
