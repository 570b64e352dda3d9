using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Ledger.Sampling;
using static NutrientLedger.Tests.Ledger.Adoption.RuledPairs;

namespace NutrientLedger.Tests.Ledger.Adoption;

/// <summary>What a rule requires before it adopts, one condition after another.</summary>
public class AdoptionRulingTests
{
    [Fact]
    public void Pairs_that_fulfil_every_condition_are_adopted() =>
        Assert.Equal([], Lacking(Rule, Pairs(10), Reported(10)));

    [Fact]
    public void Each_single_condition_that_is_not_met_is_named_alone()
    {
        var chance = Pairs(10)
            .Select((it, i) => it with { Laboratory = it.Sensor + (i % 2 == 0 ? 90 : -90) })
            .ToArray();
        var unknownLag = Pairs(10);
        unknownLag[5] = unknownLag[5] with { Passed = new(1_000, 1_000, 0, HoseLag.NotKnown) };
        var hardlyMeasured = Pairs(10);
        hardlyMeasured[5] = hardlyMeasured[5] with { Passed = new(1_000, 1_000, 501) };
        var halfMeasured = Pairs(10);
        halfMeasured[5] = halfMeasured[5] with { Passed = new(1_000, 1_000, 500) };
        var reported = Reported(10);
        Assert.Equal([AdoptionCondition.RuleIsOn], Lacking(Rule with { IsOn = false }, Pairs(10), reported));
        Assert.Equal([AdoptionCondition.EnoughPairs], Lacking(Rule with { PairsMin = 11 }, Pairs(10), reported));
        Assert.Equal([AdoptionCondition.SignificantDifference], Lacking(Rule, chance, reported));
        Assert.Equal(
            [AdoptionCondition.SmallError],
            Lacking(Rule with { StandardErrorMax = 180 }, Pairs(10), reported)
        );
        Assert.Equal([AdoptionCondition.LagKnown], Lacking(Rule, unknownLag, reported));
        Assert.Equal([AdoptionCondition.MostMeasured], Lacking(Rule, hardlyMeasured, reported));
        Assert.Equal([], Lacking(Rule, halfMeasured, reported));
        Assert.Equal([AdoptionCondition.NoPersonsCalibration], Lacking(Rule, Pairs(10), [.. reported, Persons()]));
        Assert.Equal([AdoptionCondition.NewReport], Lacking(Rule, Pairs(10), [.. reported, ByRule()]));
    }

    [Fact]
    public void Readings_to_be_corrected_outside_the_sensors_range_in_the_samples_keep_a_rule_from_adopting()
    {
        var configuration = Some.Configuration([Some.Farm(), Some.Mounted(), .. Reported(10)]);

        // Of 1,000 mL, 100 may have been read outside.
        Assert.Empty(AdoptionRuling.Of(configuration, Rule, Check(Pairs(10), 100)).Lacking);
        Assert.Equal<AdoptionCondition>(
            [AdoptionCondition.InsideSensorRange],
            AdoptionRuling.Of(configuration, Rule, Check(Pairs(10), 101)).Lacking
        );
        Assert.Equal<AdoptionCondition>(
            [AdoptionCondition.InsideSensorRange],
            AdoptionRuling.Of(configuration, Rule, Check(Pairs(10)) with { Readings = null }).Lacking
        );
    }

    [Fact]
    public void Ten_pairs_of_two_days_are_not_enough_for_a_rule()
    {
        var two = Pairs(10).Select((it, i) => it with { Window = Pairs(4)[i / 5 * 2].Window }).ToArray();

        Assert.Equal(2, Check(two).Days);
        Assert.Equal([AdoptionCondition.EnoughDays], Lacking(Rule, two, Reported(10)));
    }

    [Fact]
    public void A_sample_entered_again_under_another_id_is_no_new_report_and_a_corrected_report_of_it_is()
    {
        var again = Pairs(10);
        again[0] = again[0] with { FurtherReportIds = ["r-11"] };
        IJournalEvent[] adopted = [.. Reported(10), Report(12), ByRule()];

        Assert.Equal([AdoptionCondition.NewReport], Lacking(Rule, again, [.. adopted, Report(11)]));
        Assert.Equal(
            [],
            Lacking(Rule, again, [.. adopted, new LabResultCorrected("r-12", Report(11), "Ada Ash", "Typed")])
        );
    }

    [Fact]
    public void The_standard_error_is_that_of_prediction_and_may_be_as_large_as_allowed()
    {
        // Errors 600 − 0.2·sensor ± 20 about their mean, divisor n − 1; computed again here.
        var errors = Pairs(10).Select(it => it.Laboratory - it.Sensor).ToArray();
        var error = Math.Sqrt(errors.Sum(it => Math.Pow(it - errors.Average(), 2)) / 9);

        Assert.Equal([], Lacking(Rule with { StandardErrorMax = (long)error + 1 }, Pairs(10), Reported(10)));
        Assert.Equal(
            [AdoptionCondition.SmallError],
            Lacking(Rule with { StandardErrorMax = (long)error }, Pairs(10), Reported(10))
        );
    }

    [Fact]
    public void What_was_withdrawn_stays_withdrawn_until_a_new_report_is_among_the_pairs()
    {
        IJournalEvent[] withdrawn =
        [
            .. Reported(10),
            ByRule(),
            new CalibrationWithdrawn(Id, "Ada Ash", "Samples mixed up"),
        ];

        Assert.Equal([AdoptionCondition.NewReport], Lacking(Rule, Pairs(10), withdrawn));
        // A report without a pair is not a new report for the rule.
        Assert.Equal([AdoptionCondition.NewReport], Lacking(Rule, Pairs(10), [.. withdrawn, Report(11)]));
        Assert.Equal([], Lacking(Rule, Pairs(11), [.. withdrawn, Report(11)]));
        // A report from before the withdrawal is not new either.
        Assert.Equal(
            [AdoptionCondition.NewReport],
            Lacking(
                Rule,
                Pairs(11),
                [.. Reported(10), ByRule(), Report(11), new CalibrationWithdrawn(Id, "Ada Ash", "Samples mixed up")]
            )
        );
        Assert.Equal(
            [],
            Lacking(
                Rule,
                Pairs(11)[1..],
                [.. withdrawn, new LabResultCorrected("r-1", Report(11), "Ada Ash", "Weighed again")]
            )
        );
    }

    [Fact]
    public void A_persons_calibration_of_something_else_or_one_taken_back_is_no_hindrance()
    {
        IJournalEvent[] others =
        [
            .. Reported(10),
            Persons() with
            {
                CalibrationId = "k",
                Analyte = Analyte.Potassium,
            },
            Persons() with
            {
                CalibrationId = "n-2",
                SensorId = "nir-2",
            },
            Persons(),
            new CalibrationWithdrawn("n-1", "Ada Ash", "Leave it to the rule"),
        ];

        Assert.Equal([], Lacking(Rule, Pairs(10), others));
    }

    [Fact]
    public void A_persons_calibration_that_ended_before_the_newest_pair_holds_for_its_hours_and_leaves_the_others_to_the_rule()
    {
        var morning = Some.Morning.ToUnixTimeMilliseconds();
        var pairs = Pairs(10);
        pairs[9] = pairs[9] with { Window = pairs[9].Window with { UntilMilliseconds = morning } };
        var ended = Persons() with { ValidTo = Some.Morning };
        var lasting = Persons() with { ValidTo = Some.Morning.AddHours(1) };

        Assert.Equal([], Lacking(Rule, pairs, [.. Reported(10), ended]));
        Assert.Equal([AdoptionCondition.NoPersonsCalibration], Lacking(Rule, pairs, [.. Reported(10), lasting]));
        var both = Some.Configuration(ended, ByRule()).Calibrations;
        Assert.Equal(1_100_000, both.At(Some.Sensor, Analyte.TotalNitrogen, "", morning - 1)!.SlopeMillionths);
        Assert.Equal(800_000, both.At(Some.Sensor, Analyte.TotalNitrogen, "", morning)!.SlopeMillionths);
    }

    [Fact]
    public void What_a_rule_adopted_counts_like_any_other_replaces_its_own_former_and_is_taken_back_as_one()
    {
        var second = ByRule() with { Calibration = ByRule().Calibration with { SlopeMillionths = 900_000 } };
        var morning = Some.Morning.ToUnixTimeMilliseconds();

        var once = Some.Configuration(ByRule()).Calibrations;
        var twice = Some.Configuration(ByRule(), second).Calibrations;
        var taken = Some.Configuration(ByRule(), second, new CalibrationWithdrawn(Id, "Ada Ash", "No")).Calibrations;

        Assert.Equal(800_000, once.At(Some.Sensor, Analyte.TotalNitrogen, "", morning)!.SlopeMillionths);
        Assert.Equal(900_000, Assert.Single(twice.Adopted).SlopeMillionths);
        Assert.Empty(taken.Adopted);
        Assert.True(Statement.IsOwedTo(ByRule()));
    }

    [Fact]
    public void The_rule_recorded_last_for_a_sensor_and_analyte_holds()
    {
        var configuration = Some.Configuration(
            Rule,
            Rule with
            {
                Analyte = Analyte.Potassium,
            },
            Rule with
            {
                IsOn = false,
            }
        );

        Assert.False(configuration.AdoptionRule(Some.Sensor, Analyte.TotalNitrogen)!.IsOn);
        Assert.True(configuration.AdoptionRule(Some.Sensor, Analyte.Potassium)!.IsOn);
        Assert.Null(configuration.AdoptionRule("nir-2", Analyte.TotalNitrogen));
        Assert.Equal(2, configuration.AdoptionRules.Count());
    }

    [Fact]
    public void A_statement_says_that_it_was_the_rule_and_on_which_reports()
    {
        var cause = StatementCause.Of(ByRule(), Some.Configuration(Reported(10)), Some.Recorded, 20);
        var taken = StatementCause.Of(
            new CalibrationWithdrawn(Id, "Ada Ash", "No"),
            Some.Configuration(ByRule()),
            Some.Recorded,
            21
        );

        Assert.Equal(("calibration_adopted_by_rule", Id), (cause.Kind, cause.Id));
        Assert.Null(cause.By);
        Assert.Equal<string>(["r-1", "r-2"], cause.LabReports.ToArray());
        Assert.Equal<string>(["r-1", "r-2"], taken.LabReports.ToArray());
    }
}
