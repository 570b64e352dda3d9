using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Ledger.Adoption;

/// <summary>What must hold before the farm's rule adopts a calibration by itself.</summary>
public enum AdoptionCondition
{
    RuleIsOn = 1,

    /// <summary>As many pairs as the rule demands.</summary>
    EnoughPairs = 2,

    /// <summary>The pairs cover <see cref="SensorCheck.DaysMin"/> days or more.</summary>
    EnoughDays = 11,

    /// <summary>
    /// The slope differs from 1, or the bias from 0, by more than chance. Not asked where the days are too few to test.
    /// </summary>
    SignificantDifference = 3,

    /// <summary>Nearly all readings to be corrected lie within the sensor's range in the samples.</summary>
    InsideSensorRange = 4,

    /// <summary>The standard error of prediction is at most what the rule allows.</summary>
    SmallError = 5,

    /// <summary>For every pair the delay from pump to applicator is known.</summary>
    LagKnown = 6,

    /// <summary>
    /// No calibration of this sensor and analyte that a person adopted is in force at the newest pair or later. A
    /// person goes before the rule. One that had ended by then still holds for its own hours, and the rule's for the
    /// others.
    /// </summary>
    NoPersonsCalibration = 7,

    /// <summary>
    /// One of the pairs' reports is newer than the rule's last adoption, or than a person's last withdrawal of what it
    /// had adopted.
    /// </summary>
    NewReport = 8,

    /// <summary>In every pair the sensor has a content for at least half of the volume that passed it.</summary>
    MostMeasured = 9,

    /// <summary>The pairs propose a calibration that a person could adopt too. Checked when all else holds.</summary>
    SoundProposal = 10,
}

/// <summary>
/// Whether the farm's rule for a sensor and analyte adopts the calibration that the pairs propose. If not, what is
/// lacking.
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

    /// <summary>The conditions that do not hold, in the order of the list above.</summary>
    public ImmutableArray<AdoptionCondition> Lacking { get; }

    /// <summary>How the ids of what rules adopt begin. People choose others.</summary>
    public const string IdStart = "rule-";

    public bool IsFulfilled => Lacking.IsEmpty;

    /// <summary>
    /// The id of all that one rule adopts. The next one replaces the one before. Withdrawing it takes back all.
    /// </summary>
    public static string CalibrationId(AdoptionRuleSet rule) =>
        $"{IdStart}{rule.SensorId}-{rule.Analyte.ToString().ToLowerInvariant()}";

    /// <summary>The ruling under the configuration that holds the pairs' reports.</summary>
    public static AdoptionRuling Of(FarmConfiguration configuration, AdoptionRuleSet rule, SensorCheck check)
    {
        var comparison = check.Comparison;
        (AdoptionCondition Condition, bool Holds)[] conditions =
        [
            (AdoptionCondition.RuleIsOn, rule.IsOn),
            (AdoptionCondition.EnoughPairs, check.Pairs.Count >= rule.PairsMin),
            (AdoptionCondition.EnoughDays, check.Days >= SensorCheck.DaysMin),
            (AdoptionCondition.SignificantDifference, check.Days < SensorCheck.DaysMin || check.Proposed is not null),
            (AdoptionCondition.InsideSensorRange, check.Proposed is null || check.Readings is { IsTooMuch: false }),
            // Without a comparison there is no error to test. Another condition already covers that case.
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

    /// <summary>
    /// The event by which the rule adopts, with the rule in words as who and why. Null while something is lacking.
    /// </summary>
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
        // A sample entered again under another id is nothing new. A corrected report is.
        var samples = check.Pairs.Select(pair => pair.Window.Result.ReportId).ToHashSet();
        var reports = check.Pairs.SelectMany(pair => pair.ReportIds).ToHashSet();
        var isNew = false;
        foreach (var @event in configuration.Recorded<IJournalEvent>())
            isNew = @event switch
            {
                LabResultReported reported => isNew || samples.Contains(reported.ReportId),
                LabResultCorrected corrected => isNew || reports.Contains(corrected.Result.ReportId),
                CalibrationAdoptedByRule adopted when adopted.Calibration.CalibrationId == id => false,
                CalibrationWithdrawn withdrawn when withdrawn.CalibrationId == id => false,
                _ => isNew,
            };
        return isNew;
    }
}
