using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Sampling;

/// <summary>
/// A calibration that the farm's rule adopted, not a person. It keeps the rule as it stood then. Otherwise it is a
/// calibration like any other.
/// </summary>
public sealed record CalibrationAdoptedByRule(AdoptionRuleSet Rule, CalibrationAdopted Calibration)
    : IDefinedEvent<CalibrationAdoptedByRule>
{
    public static EventDefinition<CalibrationAdoptedByRule> Definition { get; } =
        new("calibration_adopted_by_rule", new(EventRoute.Rule, "calibrationRules"))
        {
            Changes = EventChanges.Evaluation,
            Scope = adopted => CalibrationAdopted.ScopeOf(adopted.Calibration),
            Subject = adopted => adopted.Calibration.CalibrationId,
        };
}
