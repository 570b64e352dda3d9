using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// Which samples pair, what to know about the pairs, and which calibration follows. All numbers are invented.
/// </summary>
public class SamplePairingTests
{
    [Fact]
    public void A_sample_pairs_where_both_sides_have_a_content_and_otherwise_says_which_has_none()
    {
        SampledWindow[] windows = [Window("both", 4), Window("dry", null), Window("idle", 4), Window("blind", 4)];
        PassedContent[] passed =
        [
            new(1_000, 3_000_000, 0),
            new(1_000, 3_000_000, 0),
            new(0, 0, 0),
            new(1_000, 0, 1_000),
        ];

        var pairing = SamplePairing.Of(windows, passed, Analyte.TotalNitrogen);

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
    public void What_is_proposed_begins_with_the_farm_hour_of_the_first_pair_and_is_rounded_as_it_is_kept()
    {
        var pairs = new[] { Pair(2, 4_000.0004, 3_000), Pair(1, 5_000.0004, 4_000) };
        var check = SensorCheck.Of(pairs);

        var candidate = CalibrationCandidate.Proposed(
            Some.Configuration(Some.ConfigurationEvents()),
            Some.Sensor,
            Analyte.Phosphorus,
            check
        )!;

        Assert.Equal((1m, 1_000m), (candidate.Slope, candidate.InterceptMilligramsPerLitre));
        Assert.Null(candidate.InterceptPartsPerMillion);
        // The first sample of both reports began at 11:30.
        Assert.Equal(Some.Morning.AddHours(1), candidate.ValidFrom);
        Assert.Equal(["r-2", "r-1"], candidate.ReportIds);
        Assert.Equal(
            (null, null, null, null),
            (candidate.CalibrationId, candidate.ValidTo, candidate.PitId, candidate.By)
        );
    }

    [Fact]
    public void The_intercept_of_dry_matter_is_in_parts_per_million()
    {
        var check = SensorCheck.Of([Pair(1, 60_000, 58_000)]);
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
                SensorCheck.Of([])
            )
        );

    [Fact]
    public void The_number_of_pairs_says_what_can_be_tested()
    {
        Assert.Equal([PairCaveatKind.NoPairs], Caveats([]));
        Assert.Equal([PairCaveatKind.OnePair], Caveats(Apart(1)));
        Assert.Equal([PairCaveatKind.AllAlike], Caveats([Pair(1, 5, 4), Pair(2, 5, 4), Pair(3, 5, 4)]));
        Assert.Equal([PairCaveatKind.BiasOnly], Caveats(Apart(9)));
        Assert.Equal([PairCaveatKind.FewPairs], Caveats(Apart(10)));
        Assert.Equal([PairCaveatKind.FewPairs], Caveats(Apart(19)));
        Assert.Equal([], Caveats(Apart(20)));
    }

    [Fact]
    public void Differences_that_can_be_chance_and_values_out_of_range_are_reported()
    {
        var chance = Apart(20).Select((it, i) => it with { Laboratory = it.Sensor + (i % 2 == 0 ? -1 : 1) }).ToArray();
        Assert.Equal([PairCaveatKind.NothingProposed, PairCaveatKind.OutsideRange], Caveats(chance));
        var outside = Assert.Single(Of(chance), it => it.Kind == PairCaveatKind.OutsideRange);
        Assert.Equal<string>(["r-1", "r-20"], outside.ReportIds);
        Assert.Equal(20, outside.Pairs);
    }

    [Fact]
    public void The_hose_caveats_name_their_reports()
    {
        var pairs = Apart(20);
        pairs[3] = pairs[3] with { Passed = new(1, 1, 0, HoseLag.Shifted) };
        Assert.Equal<string>(
            ["r-4"],
            Assert.Single(Of(pairs), it => it.Kind == PairCaveatKind.ShiftedByHose).ReportIds
        );
        pairs[5] = pairs[5] with { Passed = new(1, 1, 0, HoseLag.NotKnown) };
        Assert.Equal([PairCaveatKind.ShiftedByHose, PairCaveatKind.HoseNotKnown], Caveats(pairs));
        var atPump = Some.Mounted(place: SensorPlace.AtPump, host: "pump-1");
        // Already listed with its reports, it is not repeated in general.
        Assert.Equal([PairCaveatKind.ShiftedByHose, PairCaveatKind.HoseNotKnown], Caveats(pairs, atPump));
        Assert.Equal([PairCaveatKind.PumpWithoutHose], Caveats(Apart(20), atPump));
        Assert.Equal([], Caveats(Apart(20), atPump with { SensorId = "nir-2" }));
    }

    [Fact]
    public void A_calibration_in_force_of_the_same_sensor_and_analyte_is_reported()
    {
        var adopted = new CalibrationAdopted(
            "n",
            Some.Sensor,
            Analyte.TotalNitrogen,
            1_000_000,
            0,
            Some.Morning,
            null,
            null,
            [],
            "Ada Ash",
            "Why not"
        );

        Assert.Equal([PairCaveatKind.AlreadyCalibrated], Caveats(Apart(20), adopted));
        Assert.Equal([], Caveats(Apart(20), adopted with { Analyte = Analyte.Potassium }));
        Assert.Equal([], Caveats(Apart(20), adopted with { SensorId = "nir-2" }));
        Assert.Equal([], Caveats(Apart(20), adopted, new CalibrationWithdrawn("n", "Ada Ash", "No")));
    }

    /// <summary>Pairs with a clear bias whose laboratory values lie within the sensor's range.</summary>
    private static SamplePair[] Apart(int count) =>
        [
            .. Enumerable
                .Range(1, count)
                .Select(i => Pair(i, i == count ? 1_000 * count : (1_000 * i) + 200 + (i % 3), 1_000 * i)),
        ];

    private static PairCaveatKind[] Caveats(SamplePair[] pairs, params IJournalEvent[] more) =>
        [.. Of(pairs, more).Select(caveat => caveat.Kind)];

    private static IEnumerable<PairCaveat> Of(SamplePair[] pairs, params IJournalEvent[] more) =>
        PairCaveat.Of(
            Some.Configuration([Some.Farm(), .. more]),
            Some.Sensor,
            Analyte.TotalNitrogen,
            SensorCheck.Of(pairs)
        );

    private static SamplePair Pair(int number, double laboratory, double sensor)
    {
        var from = Some.Morning.AddHours(number).AddMinutes(30).ToUnixTimeMilliseconds();
        return new(new(Report($"r-{number}", null), from, from + 1, null), laboratory, sensor, new(1_000, 1_000, 0));
    }

    private static SampledWindow Window(string id, decimal? gramsPerLitre) =>
        new(Report(id, gramsPerLitre), 0, 1, null);

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
