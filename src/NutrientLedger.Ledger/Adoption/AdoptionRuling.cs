using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Ledger.Adoption;

/// <summary>What must be so before the farm's rule adopts a calibration by itself.</summary>
public enum AdoptionCondition
{
    RuleIsOn = 1,

    /// <summary>As many pairs as the rule asks for.</summary>
    EnoughPairs = 2,

    /// <summary>The slope differs from 1, or the bias from 0, by more than chance.</summary>
    SignificantDifference = 3,

    /// <summary>Each laboratory value lies within what the sensor read in the samples.</summary>
    InsideSensorRange = 4,

    /// <summary>The standard error of prediction is at most what the rule allows.</summary>
    SmallError = 5,

    /// <summary>No pair whose way from pump to applicator is not known.</summary>
    LagKnown = 6,

    /// <summary>
    /// No calibration of this sensor and analyte that a person adopted is in force at the newest pair or later: a person's word goes
    /// before the rule. One that had ended by then still holds for its own hours, and the rule's for the others.
    /// </summary>
    NoPersonsCalibration = 7,

    /// <summary>One of the pairs' reports was recorded after the rule last adopted, or a person last withdrew what it had adopted.</summary>
    NewReport = 8,

    /// <summary>In every pair the sensor told a content for at least half of what ran past it.</summary>
    MostMeasured = 9,

    /// <summary>What the pairs propose is a calibration that a person could adopt too. Looked at when all else holds.</summary>
    SoundProposal = 10,
}

/// <summary>
/// Whether the farm's rule for a sensor and analyte adopts the calibration that the pairs propose, and what is lacking if not.
/// </summary>
public sealed record AdoptionRuling
{
    private readonly CalibrationAdopted? proposed;

    private AdoptionRuling(
        AdoptionRuleSet rule,
        SensorCheck check,
        ImmutableArray<AdoptionCondition> lacking,
        CalibrationAdopted? proposed
    ) => (Rule, Check, Lacking, this.proposed) = (rule, check, lacking, proposed);

    public AdoptionRuleSet Rule { get; }

    public SensorCheck Check { get; }

    /// <summary>The conditions that do not hold, in the order in which they are told.</summary>
    public ImmutableArray<AdoptionCondition> Lacking { get; }

    /// <summary>How the ids of what rules adopt begin; people choose others.</summary>
    public const string IdStart = "rule-";

    public bool IsFulfilled => Lacking.IsEmpty;

    /// <summary>The id of all that one rule adopts: the next one replaces the one before, and withdrawing it takes back all.</summary>
    public static string CalibrationId(AdoptionRuleSet rule) =>
        $"{IdStart}{rule.SensorId}-{rule.Analyte.ToString().ToLowerInvariant()}";

    /// <summary>The ruling under the register that holds the pairs' reports.</summary>
    public static AdoptionRuling Of(FarmConfiguration configuration, AdoptionRuleSet rule, SensorCheck check)
    {
        var comparison = check.Comparison;
        (AdoptionCondition Condition, bool Holds)[] conditions =
        [
            (AdoptionCondition.RuleIsOn, rule.IsOn),
            (AdoptionCondition.EnoughPairs, check.Pairs.Count >= rule.PairsMin),
            (AdoptionCondition.SignificantDifference, comparison is not null && check.Proposed is not null),
            (AdoptionCondition.InsideSensorRange, !check.OutsideRange().Any()),
            // Without a comparison there is no error to hold against the limit; that nothing can be tested is told above.
            (
                AdoptionCondition.SmallError,
                comparison is null || comparison.StandardErrorOfPrediction <= rule.StandardErrorMax
            ),
            (AdoptionCondition.LagKnown, check.Pairs.All(pair => pair.Passed.Lag != HoseLag.NotKnown)),
            (
                AdoptionCondition.MostMeasured,
                check.Pairs.All(pair => pair.Passed.MillilitresWithout <= pair.Passed.VolumeMillilitres / 2)
            ),
            (AdoptionCondition.NoPersonsCalibration, !PersonsCalibration(configuration, rule, check)),
            (AdoptionCondition.NewReport, HasNewReport(configuration, rule, check)),
        ];
        ImmutableArray<AdoptionCondition> lacking = [.. conditions.Where(it => !it.Holds).Select(it => it.Condition)];
        if (!lacking.IsEmpty)
            return new(rule, check, lacking, null);
        return Proposed(configuration, rule, check) is { } proposed
            ? new(rule, check, [], proposed)
            : new(rule, check, [AdoptionCondition.SoundProposal], null);
    }

    /// <summary>The event by which the rule adopts, with the rule in words as who and why; nothing while something is lacking.</summary>
    public CalibrationAdoptedByRule? Adopted(string by, string reason) =>
        proposed is null ? null : new(Rule, proposed with { By = by, Reason = reason });

    private static CalibrationAdopted? Proposed(
        FarmConfiguration configuration,
        AdoptionRuleSet rule,
        SensorCheck check
    ) =>
        CalibrationCandidate.Proposed(configuration, rule.SensorId, rule.Analyte, check) is { } candidate
            ? AdoptionCheck
                .Of(candidate with { CalibrationId = CalibrationId(rule) }, configuration, Adopter.Rule)
                .Calibration
            : null;

    private static bool PersonsCalibration(FarmConfiguration configuration, AdoptionRuleSet rule, SensorCheck check)
    {
        var newest = check.Pairs.Select(pair => pair.Window.UntilMilliseconds).DefaultIfEmpty().Max();
        return configuration.Calibrations.Adopted.Any(adopted =>
            adopted.SensorId == rule.SensorId
            && adopted.Analyte == rule.Analyte
            && adopted.CalibrationId != CalibrationId(rule)
            && (adopted.ValidTo is not { } end || ConfigurationIndex.Milliseconds(end) > newest)
        );
    }

    private static bool HasNewReport(FarmConfiguration configuration, AdoptionRuleSet rule, SensorCheck check)
    {
        var id = CalibrationId(rule);
        var reports = check.Pairs.Select(pair => pair.Window.Result.ReportId).ToHashSet();
        var isNew = false;
        foreach (var @event in configuration.Recorded<IJournalEvent>())
            isNew = @event switch
            {
                LabResultReported reported => isNew || reports.Contains(reported.ReportId),
                LabResultCorrected corrected => isNew || reports.Contains(corrected.Result.ReportId),
                CalibrationAdoptedByRule adopted when adopted.Calibration.CalibrationId == id => false,
                CalibrationWithdrawn withdrawn when withdrawn.CalibrationId == id => false,
                _ => isNew,
            };
        return isNew;
    }
}
