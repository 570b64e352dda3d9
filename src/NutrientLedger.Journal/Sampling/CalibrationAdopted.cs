using System.Collections.Immutable;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Sampling;

/// <summary>
/// From one farm hour to another a sensor's readings of an analyte mean slope × reading + intercept. The hours are of
/// measured time; without an end it holds until further notice. If a pit is named, it holds for manure of that pit
/// only. The slope is in millionths, the intercept in thousandths of the reading's unit: micrograms per litre for
/// nutrients, thousandths of a part per million for dry matter.
/// </summary>
public sealed record CalibrationAdopted(
    string CalibrationId,
    string SensorId,
    Analyte Analyte,
    long SlopeMillionths,
    long InterceptThousandths,
    DateTimeOffset ValidFrom,
    DateTimeOffset? ValidTo,
    string? PitId,
    ImmutableArray<string> ReportIds,
    string By,
    string Reason
) : IDefinedEvent<CalibrationAdopted>
{
    public static EventDefinition<CalibrationAdopted> Definition { get; } =
        new("calibration_adopted", new(EventRoute.Decision, "calibrations"))
        {
            Changes = EventChanges.Evaluation,
            Subject = calibration => calibration.CalibrationId,
        };
}
