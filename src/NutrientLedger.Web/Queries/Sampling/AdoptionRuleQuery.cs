using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>Computes which calibrations the farm's rules adopt, and what a rule lacks.</summary>
internal sealed class AdoptionRuleQuery(SampleReader samples)
{
    /// <summary>
    /// What the active rules adopt under a configuration. To be recorded together with the reports that caused it. With
    /// it, what each rule did and why, in words.
    /// </summary>
    public async Task<(IReadOnlyList<CalibrationAdoptedByRule> Adopted, IReadOnlyList<string> Notes)> AdoptAsync(
        string farmId,
        FarmConfiguration configuration,
        CancellationToken cancellationToken
    )
    {
        var adopted = new List<CalibrationAdoptedByRule>();
        var notes = new List<string>();
        foreach (var rule in configuration.AdoptionRules.Where(rule => rule.IsOn))
        {
            var pairing = await Pairing.ReadAsync(
                samples,
                farmId,
                configuration,
                rule.SensorId,
                rule.Analyte,
                SampledWindow.PitHoursDefault,
                cancellationToken
            );
            var ruling = AdoptionRuling.Of(configuration, rule, pairing.Check);
            if (ruling.Adopted(InWords(rule), CheckWording.Reason(pairing.Check)) is { } @event)
                adopted.Add(@event);
            notes.Add(Note(ruling, pairing.Check));
        }
        return (adopted, notes);
    }

    /// <summary>The rule for a sensor and analyte, checked against the pairs; null when the farm has none.</summary>
    public static AdoptionRuleResponse? Response(
        FarmConfiguration configuration,
        string sensorId,
        Analyte analyte,
        SensorCheck check
    )
    {
        if (configuration.AdoptionRule(sensorId, analyte) is not { } rule)
            return null;
        var ruling = AdoptionRuling.Of(configuration, rule, check);
        return new(
            rule.IsOn,
            rule.PairsMin,
            InFileUnit(rule, rule.StandardErrorMax),
            Unit(rule),
            ruling.IsFulfilled,
            [.. ruling.Lacking.Select(condition => Missing(condition, rule, check))]
        );
    }

    private static string Note(AdoptionRuling ruling, SensorCheck check)
    {
        var rule = ruling.Rule;
        var what = ruling.IsFulfilled
            ? "adopted a calibration"
            : $"adopted nothing: {string.Join(" ", ruling.Lacking.Select(condition => Missing(condition, rule, check)))}";
        var end = ruling.IsFulfilled ? "." : "";
        return $"The rule for {rule.SensorId}, {CalibrationMapping.Word(rule.Analyte)}, {what}{end} {CheckWording.Test(check)}";
    }

    private static string InWords(AdoptionRuleSet rule) =>
        FormattableString.Invariant(
            $"the farm's rule for {rule.SensorId}, {CalibrationMapping.Word(rule.Analyte)}: from {rule.PairsMin} pairs up, standard error at most {InFileUnit(rule, rule.StandardErrorMax)} {Unit(rule)}"
        );

    private static string Missing(AdoptionCondition condition, AdoptionRuleSet rule, SensorCheck check) =>
        condition switch
        {
            AdoptionCondition.RuleIsOn => "The rule is off.",
            AdoptionCondition.EnoughPairs =>
                $"{Plural.Of(check.Pairs.Count, "pair")} so far; the rule needs {rule.PairsMin}.",
            AdoptionCondition.EnoughDays => CheckWording.TooFewDays(check),
            AdoptionCondition.SignificantDifference =>
                $"No significant slope error or bias on {Plural.Of(check.Days, "day")}, at {CheckWording.Percent(SensorCheck.Level)}.",
            AdoptionCondition.InsideSensorRange => FormattableString.Invariant(
                $"{CheckWording.Percent(check.Readings!.Share)} of the volume to correct was read outside the sensor's range in the samples, {InFileUnit(rule, check.Readings.Low):0.##} to {InFileUnit(rule, check.Readings.High):0.##} {Unit(rule)}; the rule allows {CheckWording.Percent(ReadingsOutside.ShareMax)}."
            ),
            AdoptionCondition.SmallError => FormattableString.Invariant(
                $"The standard error of prediction is {InFileUnit(rule, check.Comparison!.StandardErrorOfPrediction):0.####} {Unit(rule)}; the rule allows {InFileUnit(rule, rule.StandardErrorMax)} {Unit(rule)}."
            ),
            AdoptionCondition.LagKnown =>
                "A sample was taken at the applicator and measured at the pump, and the hose volume is unknown.",
            AdoptionCondition.NoPersonsCalibration =>
                "A calibration adopted by a person is in force. Withdraw it to let the rule decide.",
            AdoptionCondition.MostMeasured => "In one pair the sensor measured content for less than half of the flow.",
            AdoptionCondition.SoundProposal =>
                "The proposal is outside the allowed range of a calibration. Check the pairs.",
            AdoptionCondition.NewReport => "No new laboratory report since the last adoption or withdrawal.",
            _ => throw new ArgumentOutOfRangeException(nameof(condition)),
        };

    // Rules are shown in the units of the farm file; the journal has mg/L and ppm.
    private static string Unit(AdoptionRuleSet rule) => rule.Analyte == Analyte.DryMatter ? "%" : "g/L";

    private static double InFileUnit(AdoptionRuleSet rule, double error) =>
        rule.Analyte == Analyte.DryMatter ? error / 10_000 : error / 1000;
}
