using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>What a reader should know before trusting pairs. All numbers are invented.</summary>
public class PairCaveatTests
{
    private static readonly FarmCalendar Calendar = new(Some.Farm());

    [Fact]
    public void The_number_of_pairs_and_days_says_what_can_be_tested()
    {
        Assert.Equal([PairCaveatKind.NoPairs], Caveats([]));
        Assert.Equal([PairCaveatKind.TooFewDays], Caveats(Apart(1)));
        Assert.Equal([PairCaveatKind.TooFewDays], Caveats(Apart(2)));
        Assert.Equal([PairCaveatKind.AllAlike], Caveats([Pair(1, 5, 4), Pair(2, 5, 4), Pair(3, 5, 4)]));
        Assert.Equal([PairCaveatKind.AllAlike], Caveats([Pair(1, 5, 4), Pair(2, 6, 4), Pair(3, 7, 4)]));
        Assert.Equal([PairCaveatKind.BiasOnly], Caveats(Apart(9)));
        Assert.Equal([], Caveats(Apart(10)));
        var five = Apart(10).Select((it, i) => it with { Window = Pair(1 + i / 2, 0, 0).Window }).ToArray();
        Assert.Equal([PairCaveatKind.FewDays], Caveats(five));
    }

    [Fact]
    public void Differences_that_can_be_chance_are_reported()
    {
        var chance = Apart(20).Select((it, i) => it with { Laboratory = it.Sensor + (i % 2 == 0 ? -1 : 1) }).ToArray();
        Assert.Equal([PairCaveatKind.NothingProposed], Caveats(chance));
        Assert.Equal(20, Assert.Single(Of(chance)).Pairs);
    }

    [Fact]
    public void Readings_to_be_corrected_outside_the_sensors_range_and_samples_known_already_are_reported()
    {
        var configuration = Some.Configuration([Some.Farm()]);
        PairCaveat[] Named(SensorCheck check) =>
            [.. PairCaveat.Of(configuration, Some.Sensor, Analyte.TotalNitrogen, check)];
        var check = SensorCheck.Of(Apart(20), Calendar);

        Assert.Empty(Named(check with { Readings = new(1, 2, 1_000, 100) }));
        Assert.Equal(
            PairCaveatKind.OutsideRange,
            Assert.Single(Named(check with { Readings = new(1, 2, 1_000, 101) })).Kind
        );
        var again = Apart(20);
        again[2] = again[2] with { FurtherReportIds = ["r-21", "r-22"] };
        var known = Assert.Single(Named(SensorCheck.Of(again, Calendar)));
        Assert.Equal(PairCaveatKind.SampleAgain, known.Kind);
        Assert.Equal<string>(["r-21", "r-22"], known.ReportIds);
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

    /// <summary>Pairs with a clear bias, one a day.</summary>
    private static SamplePair[] Apart(int count) =>
        [.. Enumerable.Range(1, count).Select(i => Pair(i, (1_000 * i) + 200 + (i % 3), 1_000 * i))];

    private static PairCaveatKind[] Caveats(SamplePair[] pairs, params IJournalEvent[] more) =>
        [.. Of(pairs, more).Select(caveat => caveat.Kind)];

    private static IEnumerable<PairCaveat> Of(SamplePair[] pairs, params IJournalEvent[] more) =>
        PairCaveat.Of(
            Some.Configuration([Some.Farm(), .. more]),
            Some.Sensor,
            Analyte.TotalNitrogen,
            SensorCheck.Of(pairs, Calendar)
        );

    private static SamplePair Pair(int number, double laboratory, double sensor)
    {
        var at = Some.Morning.AddDays(number).AddMinutes(30);
        var from = at.ToUnixTimeMilliseconds();
        return new(
            new(Report($"r-{number}") with { SampledFrom = at, SampledTo = at }, from, from + 1, null),
            laboratory,
            sensor,
            new(1_000, 1_000, 0)
        );
    }

    private static LabResultReported Report(string id) =>
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
            [],
            null,
            "Ada Ash"
        );
}
