using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Adopts what the farm's rules adopt by themselves, and says what a rule lacks.</summary>
internal sealed class RuleDesk(SampleReader samples)
{
    /// <summary>What the rules that are on adopt under a register, to be recorded together with the reports that brought it about.</summary>
    public async Task<IReadOnlyList<CalibrationAdoptedByRule>> AdoptAsync(
        string farmId,
        Register register,
        CancellationToken cancellationToken
    )
    {
        var adopted = new List<CalibrationAdoptedByRule>();
        foreach (var rule in register.AdoptionRules.Where(rule => rule.IsOn))
        {
            var pairing = await Pairing.ReadAsync(
                samples,
                farmId,
                register,
                rule.SensorId,
                rule.Analyte,
                Pairing.PitHoursUsual,
                cancellationToken
            );
            if (AdoptionRuling.Of(register, rule, pairing.Check).IsFulfilled)
                if (Calibration(register, rule, pairing) is { } calibration)
                    adopted.Add(new(rule, calibration));
        }
        return adopted;
    }

    /// <summary>The rule for a sensor and analyte held against its pairs; nothing where the farm has none.</summary>
    public static RuleAnswer? Answer(Register register, string sensorId, Analyte analyte, Pairing pairing)
    {
        if (register.AdoptionRule(sensorId, analyte) is not { } rule)
            return null;
        var ruling = AdoptionRuling.Of(register, rule, pairing.Check);
        List<string> lacking = [.. ruling.Lacking.Select(condition => Words(condition, rule, pairing.Check))];
        if (ruling.IsFulfilled && Calibration(register, rule, pairing) is null)
            lacking.Add("What is proposed lies outside what a calibration may be; look at the pairs.");
        return new(
            rule.IsOn,
            rule.PairsLeast,
            InFileUnit(rule, rule.StandardErrorMost),
            Unit(rule),
            lacking.Count == 0,
            lacking
        );
    }

    /// <summary>The proposal with the rule standing for it; nothing where it is none that a person could adopt either.</summary>
    private static CalibrationAdopted? Calibration(Register register, AdoptionRuleSet rule, Pairing pairing) =>
        pairing.Proposal(register, rule.SensorId, rule.Analyte) is { } proposal
            ? CalibrationBook
                .Read(
                    proposal.Calibration with
                    {
                        Calibration = AdoptionRuling.CalibrationId(rule),
                        AdoptedBy = FormattableString.Invariant(
                            $"the farm's rule for {rule.SensorId}, {CalibrationBook.Word(rule.Analyte)}: from {rule.PairsLeast} pairs up, standard error at most {InFileUnit(rule, rule.StandardErrorMost)} {Unit(rule)}"
                        ),
                    },
                    register,
                    isStored: true
                )
                .Entry
            : null;

    private static string Words(AdoptionCondition condition, AdoptionRuleSet rule, SensorCheck check) =>
        condition switch
        {
            AdoptionCondition.RuleIsOn => "The rule is off.",
            AdoptionCondition.EnoughPairs =>
                $"There {(check.Pairs.Count == 1 ? "is" : "are")} {Counted.Of(check.Pairs.Count, "pair")}; the rule asks for {rule.PairsLeast}.",
            AdoptionCondition.NoChance =>
                "Neither slope nor bias differs from those of a sensor without fault by more than chance.",
            AdoptionCondition.InsideSensorRange =>
                $"The laboratory's value lies outside all that the sensor read in these samples: {string.Join(", ", check.OutsideRange().Select(pair => pair.Window.Result.ReportId))}.",
            AdoptionCondition.SmallError => FormattableString.Invariant(
                $"The standard error of prediction is {InFileUnit(rule, check.Comparison!.StandardErrorOfPrediction):0.####} {Unit(rule)}; the rule allows {InFileUnit(rule, rule.StandardErrorMost)} {Unit(rule)}."
            ),
            AdoptionCondition.LagKnown =>
                "A sample was taken at the applicator and read at the pump, and what the hose holds is not known.",
            AdoptionCondition.NoPersonsCalibration =>
                "A calibration that a person adopted is in force; withdraw it to leave it to the rule.",
            AdoptionCondition.MostMeasured =>
                "In one pair the sensor told a content for less than half of what ran past it.",
            AdoptionCondition.NewReport =>
                "No laboratory report among the pairs is newer than what the rule last adopted, or a person last took back.",
            _ => throw new ArgumentOutOfRangeException(nameof(condition)),
        };

    // Rules are told in the units in which the farm file writes them; the journal holds mg/L and ppm.
    private static string Unit(AdoptionRuleSet rule) => rule.Analyte == Analyte.DryMatter ? "%" : "g/L";

    private static double InFileUnit(AdoptionRuleSet rule, double error) =>
        rule.Analyte == Analyte.DryMatter ? error / 10_000 : error / 1000;
}
