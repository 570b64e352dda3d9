using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// Which samples pair and which calibration follows. All numbers are invented.
/// </summary>
public class SamplePairingTests
{
    private static readonly FarmCalendar Calendar = new(Some.Farm());

    [Fact]
    public void A_sample_pairs_where_both_sides_have_a_content_and_otherwise_says_which_has_none()
    {
        SampledWindow[] windows =
        [
            Window("both", 4),
            Window("dry", null),
            Window("idle", 4, "jar 2"),
            Window("blind", 4, "jar 3"),
        ];
        PassedContent[] passed =
        [
            new(1_000, 3_000_000, 0),
            new(1_000, 3_000_000, 0),
            new(0, 0, 0),
            new(1_000, 0, 1_000),
        ];

        var pairing = SamplePairing.Of(windows, passed, Analyte.TotalNitrogen, Calendar);

        var pair = Assert.Single(pairing.Check.Pairs);
        Assert.Equal(("both", 4_000, 3_000), (pair.Window.Result.ReportId, pair.Laboratory, pair.Sensor));
        Assert.Equal(
            [
                new("dry", UnpairedReason.NoLaboratoryValue),
                new("idle", UnpairedReason.NoFlow),
                new UnpairedSample("blind", UnpairedReason.NoContent),
            ],
            pairing.Unpaired.ToArray()
        );
    }

    [Fact]
    public void Two_jars_entered_five_times_each_are_two_pairs_and_propose_nothing()
    {
        SampledWindow[] windows =
        [
            .. Enumerable
                .Range(1, 10)
                .Select(i => Window($"r-{i}", i % 2 == 0 ? 4.1m : 4.0m, i % 2 == 0 ? "jar 2" : " Jar1 ")),
        ];
        PassedContent[] passed =
        [
            .. Enumerable.Range(1, 10).Select(i => new PassedContent(1_000, i % 2 == 0 ? 4_400_000 : 4_000_000, 0)),
        ];

        var check = SamplePairing.Of(windows, passed, Analyte.TotalNitrogen, Calendar).Check;

        Assert.Equal(
            [("r-1", 4_000), ("r-2", 4_100)],
            check.Pairs.Select(it => (it.Window.Result.ReportId, it.Laboratory))
        );
        Assert.Equal(["r-1", "r-3", "r-5", "r-7", "r-9"], check.Pairs[0].ReportIds);
        Assert.Null(check.Proposed);
    }

    [Fact]
    public void Values_of_one_jar_that_differ_are_averaged_however_often_each_was_entered()
    {
        SampledWindow[] windows = [Window("r-1", 4.0m), Window("r-2", 4.0m), Window("r-3", 4.3m), Window("r-4", null)];
        var passed = Enumerable.Repeat(new PassedContent(1_000, 4_000_000, 0), 4).ToArray();

        var pairing = SamplePairing.Of(windows, passed, Analyte.TotalNitrogen, Calendar);

        Assert.Equal(4_150, Assert.Single(pairing.Check.Pairs).Laboratory);
        Assert.Equal("r-4", Assert.Single(pairing.Unpaired).ReportId);
    }

    [Fact]
    public void What_is_proposed_begins_with_the_farm_hour_of_the_first_pair_and_is_rounded_as_it_is_kept()
    {
        var pairs = new[] { Pair(2, 4_000.0004, 3_000), Pair(1, 5_000.0004, 4_000), Pair(3, 5_100.0004, 4_100) };
        var check = SensorCheck.Of(pairs, Calendar);

        var candidate = CalibrationCandidate.Proposed(
            Some.Configuration(Some.ConfigurationEvents()),
            Some.Sensor,
            Analyte.Phosphorus,
            check
        )!;

        Assert.Equal((1m, 1_000m), (candidate.Slope, candidate.InterceptMilligramsPerLitre));
        Assert.Null(candidate.InterceptPartsPerMillion);
        // The first sample began at 10:30 of the day after.
        Assert.Equal(Some.Morning.AddDays(1), candidate.ValidFrom);
        Assert.Equal(["r-2", "r-1", "r-3"], candidate.ReportIds);
        Assert.Equal(
            (null, null, null, null),
            (candidate.CalibrationId, candidate.ValidTo, candidate.PitId, candidate.By)
        );
    }

    [Fact]
    public void The_intercept_of_dry_matter_is_in_parts_per_million()
    {
        var check = SensorCheck.Of(
            [Pair(1, 60_000, 58_000), Pair(2, 61_000, 59_000), Pair(3, 62_000, 60_000)],
            Calendar
        );
        var candidate = CalibrationCandidate.Proposed(
            Some.Configuration(Some.ConfigurationEvents()),
            Some.Sensor,
            Analyte.DryMatter,
            check
        )!;

        Assert.Equal((null, 2_000m), (candidate.InterceptMilligramsPerLitre, candidate.InterceptPartsPerMillion));
        Assert.Equal((2_000m, null), (candidate.Intercept, candidate.InterceptInOtherUnit));
    }

    [Fact]
    public void Pairs_that_propose_nothing_make_no_candidate() =>
        Assert.Null(
            CalibrationCandidate.Proposed(
                Some.Configuration(Some.ConfigurationEvents()),
                Some.Sensor,
                Analyte.Phosphorus,
                SensorCheck.Of([], Calendar)
            )
        );

    private static SamplePair Pair(int number, double laboratory, double sensor)
    {
        var at = Some.Morning.AddDays(number).AddMinutes(30);
        var from = at.ToUnixTimeMilliseconds();
        return new(
            new(Report($"r-{number}", null) with { SampledFrom = at, SampledTo = at }, from, from + 1, null),
            laboratory,
            sensor,
            new(1_000, 1_000, 0)
        );
    }

    private static SampledWindow Window(string id, decimal? gramsPerLitre, string? jar = null) =>
        new(Report(id, gramsPerLitre) with { SampleId = jar ?? "jar" }, 0, 1, null);

    private static LabResultReported Report(string id, decimal? gramsPerLitre) =>
        new(
            id,
            "jar",
            "Fen Street laboratory",
            Some.Morning,
            Some.Morning,
            null,
            Some.Sensor,
            "grab",
            new(2026, 5, 2),
            gramsPerLitre is { } content
                ? [new(PrintedAs.TotalNitrogen, content, PrintedUnit.GramsPerLitre)]
                : [new(PrintedAs.DryMatter, 6, PrintedUnit.Percent)],
            null,
            "Ada Ash"
        );
}
