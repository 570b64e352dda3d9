using System.Collections.Immutable;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Sampling;

/// <summary>
/// A laboratory reported what it found in a sample: of a pit, of the flow that passed a sensor, or of what left an applicator (then
/// neither pit nor sensor is named, so that a hub which does not know of the applicator reckons nothing from it). The values stand as the
/// laboratory printed them; what they mean in the units of the ledger is reckoned when they are read.
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
