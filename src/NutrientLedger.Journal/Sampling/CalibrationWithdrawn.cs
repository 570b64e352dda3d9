using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Sampling;

/// <summary>A calibration was withdrawn. For every hour it is as if it had never been adopted.</summary>
public sealed record CalibrationWithdrawn(string CalibrationId, string By, string Reason)
    : IDefinedEvent<CalibrationWithdrawn>
{
    public static EventDefinition<CalibrationWithdrawn> Definition { get; } =
        new("calibration_withdrawn", new(EventRoute.Decision, "calibrations"))
        {
            Changes = EventChanges.Evaluation,
            Scope = withdrawn => CalibrationAdopted.ScopeOf(withdrawn.CalibrationId),
            Subject = withdrawn => withdrawn.CalibrationId,
        };
}
