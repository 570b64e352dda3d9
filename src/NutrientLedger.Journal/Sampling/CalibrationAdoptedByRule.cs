using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Sampling;

/// <summary>A calibration that no person adopted: the farm's rule did, as it stood then. In all else it is one like any other.</summary>
public sealed record CalibrationAdoptedByRule(AdoptionRuleSet Rule, CalibrationAdopted Calibration)
    : IDefinedEvent<CalibrationAdoptedByRule>
{
    public static EventDefinition<CalibrationAdoptedByRule> Definition { get; } =
        new("calibration_adopted_by_rule", new(EventRoute.Rule, "calibrationRules"))
        {
            Changes = EventChanges.Evaluation,
            Subject = adopted => adopted.Calibration.CalibrationId,
        };
}
