using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Tests.Ledger.Adoption;

/// <summary>
/// What may be adopted as a calibration, on the invented farm with the report r-1, which r-2 superseded.
/// </summary>
public class AdoptionCheckTests
{
    private static readonly FarmConfiguration Farm = Some.Configuration([.. Some.ConfigurationEvents(), .. Reports()]);

    private static readonly CalibrationCandidate Sound = new(
        "n-2026",
        Some.Sensor,
        Analyte.TotalNitrogen,
        Slope: 0.9m,
        InterceptMilligramsPerLitre: -12.5m,
        InterceptPartsPerMillion: null,
        Some.Morning,
        Some.Morning.AddHours(2),
        Some.Pit,
        ["r-2"],
        "Ada Ash",
        "Laboratory finds less"
    );

    [Fact]
    public void A_sound_candidate_is_the_event_in_whole_numbers()
    {
        var adopted = Check(Sound).Calibration!;

        Assert.Equal((900_000, -12_500), (adopted.SlopeMillionths, adopted.InterceptThousandths));
        Assert.Equal(
            ("n-2026", Some.Sensor, Analyte.TotalNitrogen, Some.Pit),
            (adopted.CalibrationId, adopted.SensorId, adopted.Analyte, adopted.PitId)
        );
        Assert.Equal((Some.Morning, Some.Morning.AddHours(2)), (adopted.ValidFrom, adopted.ValidTo));
        Assert.Equal(("Ada Ash", "Laboratory finds less"), (adopted.By, adopted.Reason));
        Assert.Equal<string>(["r-2"], adopted.ReportIds);
    }

    [Fact]
    public void Without_slope_and_intercept_nothing_is_changed()
    {
        var adopted = Check(Sound with { Slope = null, InterceptMilligramsPerLitre = null }).Calibration!;

        Assert.Equal((1_000_000, 0), (adopted.SlopeMillionths, adopted.InterceptThousandths));
    }

    [Fact]
    public void Each_single_problem_is_named_alone()
    {
        Finds(AdoptionProblemCode.IdMissing, Sound with { CalibrationId = " " });
        foreach (var id in (string[])["a/b", "..", "-n", "n 1", "né", $"n{new string('1', 100)}", "n\n"])
            Finds(AdoptionProblemCode.IdInvalid, Sound with { CalibrationId = id });
        Finds(AdoptionProblemCode.AdopterMissing, Sound with { By = "" });
        Finds(AdoptionProblemCode.ReasonMissing, Sound with { Reason = null });
        Finds(AdoptionProblemCode.SensorUnknown, Sound with { SensorId = "nir-9" });
        Finds(AdoptionProblemCode.PitUnknown, Sound with { PitId = "south-pit" });
        Finds(AdoptionProblemCode.AnalyteUnknown, Sound with { Analyte = null });
        Finds(AdoptionProblemCode.InterceptInOtherUnit, Sound with { InterceptPartsPerMillion = 1 });
        Finds(AdoptionProblemCode.InterceptInOtherUnit, Sound with { Analyte = Analyte.DryMatter });
        Finds(AdoptionProblemCode.ValidFromMissing, Sound with { ValidFrom = null });
        Finds(AdoptionProblemCode.ValidFromWithinHour, Sound with { ValidFrom = Some.Morning.AddMinutes(30) });
        Finds(AdoptionProblemCode.ValidToWithinHour, Sound with { ValidTo = Some.Morning.AddHours(2).AddTicks(1) });
        Finds(AdoptionProblemCode.ValidToNotAfterFrom, Sound with { ValidTo = Some.Morning });
    }

    [Theory]
    [InlineData("0", false)]
    [InlineData("0.000001", true)]
    [InlineData("0.0000001", false)]
    [InlineData("10", true)]
    [InlineData("10.000001", false)]
    [InlineData("-1", false)]
    public void A_slope_is_above_0_at_most_10_and_has_six_decimals(string slope, bool isSound) =>
        Assert.Equal(
            isSound ? [] : [AdoptionProblemCode.SlopeOutOfRange],
            Codes(Check(Sound with { Slope = Number(slope) }))
        );

    [Theory]
    [InlineData("1000000", true)]
    [InlineData("-1000000", true)]
    [InlineData("1000000.001", false)]
    [InlineData("-1000000.001", false)]
    [InlineData("0.001", true)]
    [InlineData("0.0001", false)]
    public void An_intercept_is_at_most_a_million_either_way_and_has_three_decimals(string intercept, bool isSound)
    {
        AdoptionProblemCode[] expected = isSound ? [] : [AdoptionProblemCode.InterceptOutOfRange];

        Assert.Equal(expected, Codes(Check(Sound with { InterceptMilligramsPerLitre = Number(intercept) })));
        Assert.Equal(
            expected,
            Codes(
                Check(
                    Sound with
                    {
                        Analyte = Analyte.DryMatter,
                        InterceptMilligramsPerLitre = null,
                        InterceptPartsPerMillion = Number(intercept),
                    }
                )
            )
        );
    }

    [Fact]
    public void Reports_that_are_not_there_or_superseded_are_named()
    {
        var check = Check(Sound with { ReportIds = ["r-1", "r-2", "r-3"] });

        Assert.Equal(
            [
                new(AdoptionProblemCode.ReportSuperseded, "r-1", "r-2"),
                new AdoptionProblem(AdoptionProblemCode.ReportUnknown, "r-3"),
            ],
            check.Problems.ToArray()
        );
        Assert.Null(check.Calibration);
    }

    [Fact]
    public void All_problems_are_reported_together_in_the_order_of_the_properties() =>
        Assert.Equal(
            [
                AdoptionProblemCode.IdMissing,
                AdoptionProblemCode.AdopterMissing,
                AdoptionProblemCode.ReasonMissing,
                AdoptionProblemCode.SensorUnknown,
                AdoptionProblemCode.AnalyteUnknown,
                AdoptionProblemCode.ValidFromMissing,
            ],
            Codes(Check(new(null, null, null, null, null, null, null, null, null, [], null, null)))
        );

    [Fact]
    public void A_preview_needs_no_name_and_a_rule_neither_name_nor_reason()
    {
        var unsigned = Sound with { By = null };

        Assert.Empty(AdoptionCheck.Of(unsigned, Farm, Adopter.Nobody).Problems);
        Assert.Equal(
            [AdoptionProblemCode.ReasonMissing],
            Codes(AdoptionCheck.Of(unsigned with { Reason = null }, Farm, Adopter.Nobody))
        );
        Assert.Empty(AdoptionCheck.Of(unsigned with { Reason = null }, Farm, Adopter.Rule).Problems);
    }

    [Fact]
    public void Ids_of_rules_are_not_for_people()
    {
        var reserved = Sound with { CalibrationId = $"{AdoptionRuling.IdStart}n" };

        Finds(AdoptionProblemCode.IdReserved, reserved);
        Assert.NotNull(AdoptionCheck.Of(reserved, Farm, Adopter.Rule).Calibration);
    }

    [Fact]
    public void An_id_is_taken_for_ever_but_by_a_rule()
    {
        var once = Farm.With(Check(Sound).Calibration!);
        var withdrawn = once.With(new CalibrationWithdrawn("n-2026", "Ada Ash", "Samples mixed up"));

        Assert.Equal([AdoptionProblemCode.IdTaken], Codes(AdoptionCheck.Of(Sound, once, Adopter.Person)));
        Assert.Equal([AdoptionProblemCode.IdTaken], Codes(AdoptionCheck.Of(Sound, withdrawn, Adopter.Nobody)));
        Assert.Empty(AdoptionCheck.Of(Sound, once, Adopter.Rule).Problems);
        // Problems of the id are reported only when there are no others.
        Assert.Equal(
            [AdoptionProblemCode.PitUnknown],
            Codes(AdoptionCheck.Of(Sound with { PitId = "south-pit" }, once, Adopter.Person))
        );
    }

    [Fact]
    public void An_hour_is_one_of_the_farms_own_clock()
    {
        // Nepal is 5 h 45 min ahead of UTC, so its hours begin at a quarter past those of UTC.
        var nepal = Some.Configuration([
            Some.Farm("Asia/Kathmandu"),
            Some.Mounted(),
            Some.PitOf(new RoundTank(30_000, 4_000)),
            .. Reports(),
        ]);
        var quarterPast = new DateTimeOffset(2026, 4, 14, 4, 15, 0, TimeSpan.Zero);

        Assert.Empty(
            AdoptionCheck.Of(Sound with { ValidFrom = quarterPast, ValidTo = null }, nepal, Adopter.Person).Problems
        );
        Assert.Equal(
            [AdoptionProblemCode.ValidFromWithinHour],
            Codes(
                AdoptionCheck.Of(
                    Sound with
                    {
                        ValidFrom = quarterPast.AddMinutes(-15),
                        ValidTo = null,
                    },
                    nepal,
                    Adopter.Person
                )
            )
        );
    }

    private static decimal Number(string text) =>
        decimal.Parse(text, System.Globalization.CultureInfo.InvariantCulture);

    private static AdoptionCheck Check(CalibrationCandidate candidate) =>
        AdoptionCheck.Of(candidate, Farm, Adopter.Person);

    private static IEnumerable<AdoptionProblemCode> Codes(AdoptionCheck check) =>
        check.Problems.Select(problem => problem.Code);

    private static void Finds(AdoptionProblemCode code, CalibrationCandidate candidate)
    {
        var check = Check(candidate);
        Assert.Equal([code], Codes(check));
        Assert.Null(check.Calibration);
    }

    private static IJournalEvent[] Reports()
    {
        var first = new LabResultReported(
            "r-1",
            "jar 1",
            "Fen Street laboratory",
            Some.Morning,
            Some.Morning,
            null,
            Some.Sensor,
            "grab",
            new(2026, 5, 2),
            [],
            null,
            "Ada Ash"
        );
        return [first, new LabResultCorrected("r-1", first with { ReportId = "r-2" }, "Ada Ash", "Weighed again")];
    }
}
