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
            Scope = ScopeOf,
            Subject = calibration => calibration.CalibrationId,
        };

    /// <summary>The hours for which a calibration holds, and those of the one with its id that it replaces.</summary>
    internal static IEnumerable<RebuildScope> ScopeOf(CalibrationAdopted adopted) =>
        [new RebuildScope.Evaluation(adopted.ValidFrom, adopted.ValidTo), .. ScopeOf(adopted.CalibrationId)];

    /// <summary>The hours for which the calibrations with an id were adopted.</summary>
    internal static IEnumerable<RebuildScope> ScopeOf(string calibrationId) =>
        [
            new RebuildScope.SameAs(earlier =>
                (earlier as CalibrationAdopted ?? (earlier as CalibrationAdoptedByRule)?.Calibration)?.CalibrationId
                == calibrationId
            ),
        ];
}
