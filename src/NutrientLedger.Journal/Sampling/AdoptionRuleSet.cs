using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Sampling;

/// <summary>
/// Whether a calibration of one sensor and analyte may be adopted without a person. It needs a least number of pairs of
/// laboratory and sensor. Its standard error of prediction has an upper limit (mg/L, ppm for dry matter). The rule
/// recorded last for a sensor and analyte holds. Where there is none, or it is off, only people adopt.
/// </summary>
public sealed record AdoptionRuleSet(string SensorId, Analyte Analyte, bool IsOn, int PairsMin, long StandardErrorMax)
    : IDefinedEvent<AdoptionRuleSet>
{
    public static EventDefinition<AdoptionRuleSet> Definition { get; } =
        new("adoption_rule_set", new(EventRoute.FarmFile, "calibrationRules"))
        {
            Changes = EventChanges.Nothing,
            Subject = rule => rule.SensorId,
            Key = rule => EntryKey.TextOf(rule.SensorId, rule.Analyte),
        };
}
