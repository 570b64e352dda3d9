using MathNet.Numerics.Distributions;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Readings;

namespace NutrientLedger.Tests.Ledger.Readings;

public class ReadingFindingsTests
{
    private const int Readings = 3000;

    [Fact]
    public void Two_minutes_of_a_fouled_window_are_found_to_the_reading()
    {
        var found = Assert.Single(
            Findings(
                1,
                (i, reading) =>
                    i is >= 900 and < 1020
                        ? reading with
                        {
                            TotalNitrogenMilligramsPerLitre = (int)(
                                0.4 * reading.TotalNitrogenMilligramsPerLitre!.Value
                            ),
                        }
                        : reading
            )
        );
        Assert.Equal((FindingKind.Spike, "totalNitrogen"), (found.Kind, found.Measured));
        Assert.Equal((901, 1020, VoidedPart.Composition), (found.FirstSeq, found.LastSeq, found.ProposedPart));
        Assert.Equal(120, Assert.IsType<FindingStrength.Far>(found.Strength).Readings);
        Assert.Equal(TimeSpan.FromSeconds(119).TotalMilliseconds, found.ToMilliseconds - found.FromMilliseconds);
    }

    [Fact]
    public void A_content_that_stands_still_while_others_move_is_stuck()
    {
        var found = Assert.Single(
            Findings(
                2,
                (i, reading) => i is >= 500 and < 700 ? reading with { PotassiumMilligramsPerLitre = 2505 } : reading
            )
        );
        Assert.Equal(
            (FindingKind.Stuck, "potassium", 501, 700),
            (found.Kind, found.Measured, found.FirstSeq, found.LastSeq)
        );
    }

    [Fact]
    public void A_meter_that_stands_still_is_stuck_but_voiding_would_not_help()
    {
        var found = Assert.Single(
            Findings(3, (i, reading) => i < 400 ? reading with { FlowMillilitresPerSecond = 10_000 } : reading)
        );
        Assert.Equal((FindingKind.Stuck, "flow", null), (found.Kind, found.Measured, found.ProposedPart));
    }

    [Fact]
    public void Nothing_is_stuck_when_everything_stands_still_or_nothing_flows()
    {
        Assert.Empty(Findings(4, (_, reading) => Reading(reading.MeasuredAtMilliseconds, 1, 10_000)));
        Assert.Empty(Findings(5, (_, reading) => reading with { FlowMillilitresPerSecond = 0 }));
    }

    [Fact]
    public void A_content_that_falls_by_a_third_all_along_drifts_and_one_by_a_tenth_does_not()
    {
        var found = Assert.Single(Findings(6, (i, reading) => Faded(reading, 1 - (i / 9000.0))));
        Assert.Equal((FindingKind.Drift, "ammoniumNitrogen"), (found.Kind, found.Measured));
        Assert.InRange(Assert.IsType<FindingStrength.Trend>(found.Strength).Share, -0.4, -0.3);
        Assert.Empty(Findings(7, (i, reading) => Faded(reading, 1 - (i / 30_000.0))));
    }

    [Fact]
    public void A_jumping_level_is_found_and_a_falling_one_is_not()
    {
        var levels = Enumerable.Range(0, 200).Select(i => new LevelReading(At(60 * i), 2400 - i)).ToArray();
        Assert.Empty(Of(levels));
        levels[90] = levels[90] with { LevelMillimetres = 3100 };
        var found = Assert.Single(Of(levels));
        Assert.Equal((FindingKind.Spike, 91, VoidedPart.Level), (found.Kind, found.FirstSeq, found.ProposedPart));
        var far = Assert.IsType<FindingStrength.Far>(found.Strength);
        Assert.Equal((1, 3100), (far.Readings, far.Value));
    }

    [Fact]
    public void Totals_that_the_meter_comes_back_from_are_found_to_the_reading()
    {
        var found = Findings(
                8,
                (i, reading) =>
                    Metered(
                        i,
                        reading,
                        i is 700 or 701 ? 0
                            : i == 900 ? 3_000_000_000_000
                            : null
                    )
            )
            .ToArray();
        Assert.Equal([(701, 702), (901, 901)], found.Select(one => ((int)one.FirstSeq, (int)one.LastSeq)));
        Assert.All(
            found,
            one =>
                Assert.Equal((FindingKind.Spike, "total", VoidedPart.Total), (one.Kind, one.Measured, one.ProposedPart))
        );
        Assert.Equal(
            [new FindingStrength.Jump(2, Total(699), 0), new FindingStrength.Jump(1, Total(899), 3_000_000_000_000)],
            found.Select(one => one.Strength)
        );
    }

    /// <summary>The readings beside void totals must have totals, so a range reaches over those without.</summary>
    [Fact]
    public void A_range_of_wrong_totals_reaches_from_total_to_total()
    {
        var found = Assert.Single(
            Findings(9, (i, reading) => i is 699 or 701 ? reading : Metered(i, reading, i == 700 ? 0 : null))
        );
        Assert.Equal((700, 702), (found.FirstSeq, found.LastSeq));
    }

    [Fact]
    public void A_meter_that_was_reset_or_rolled_over_is_not_found()
    {
        Assert.Empty(Findings(10, (i, reading) => Metered(i, reading, i >= 700 ? (i - 700) * 10_000 : null)));
        // Reset so early that it soon shows the total from before again.
        Assert.Empty(Findings(11, (i, reading) => Metered(i, reading, (i >= 5 ? i - 5 : i) * 10_000)));
        Assert.Empty(
            Findings(12, (i, reading) => Metered(i, reading, Total(i) % Total(700)), meterModulus: Total(700))
        );
    }

    [Fact]
    public void A_hundred_normal_passes_give_no_finding() =>
        Assert.Empty(Enumerable.Range(100, 100).SelectMany(chance => Findings(chance, (_, reading) => reading)));

    [Fact]
    public void What_a_person_voided_is_not_found_again()
    {
        var batch = new ReadingBatch<LevelReading>(
            "level",
            1,
            1,
            [.. Enumerable.Range(0, 60).Select(i => new LevelReading(At(60 * i), i == 30 ? 9000 : 2400))]
        );
        var configuration = FarmConfiguration.Empty.With(Some.Farm());
        var voided = new ReadingsVoided(
            "v",
            "level",
            TelemetryStream.Store,
            1,
            31,
            31,
            VoidedPart.Level,
            "foam",
            "Ada Ash"
        );

        Assert.Single(Gathered(configuration).Findings());
        Assert.Empty(Gathered(configuration.With(voided)).Findings());

        GatheredReadings Gathered(FarmConfiguration known)
        {
            var gathered = new GatheredReadings(known, At(0), At(86_400));
            gathered.Add(new StorageLevelMeasured(batch), Some.Recorded);
            return gathered;
        }
    }

    private static IEnumerable<ReadingFinding> Findings(
        int chance,
        Func<int, SpreadReading, SpreadReading> change,
        long? meterModulus = null
    )
    {
        var noise = Normal.Samples(new Random(chance), 1, 0.015).GetEnumerator();
        double Next() => noise.MoveNext() ? noise.Current : throw new InvalidOperationException();
        var readings = Enumerable
            .Range(0, Readings)
            .Select(i => ((long)i + 1, change(i, Reading(At(i), Next, (int)(10_000 * Next())))));
        return ReadingFindings.Of(new ReadingSeries<SpreadReading>(Some.DragLine, 1, [.. readings]), meterModulus);
    }

    private static IEnumerable<ReadingFinding> Of(LevelReading[] levels) =>
        ReadingFindings.Of(
            new ReadingSeries<LevelReading>("level", 1, [.. levels.Select((level, i) => (i + 1L, level))])
        );

    private static SpreadReading Reading(long at, double share, int flow) => Reading(at, () => share, flow);

    private static SpreadReading Reading(long at, Func<double> share, int flow) =>
        new(
            at,
            FlowMillilitresPerSecond: flow,
            DryMatterPartsPerMillion: (int)(60_000 * share()),
            TotalNitrogenMilligramsPerLitre: (int)(4200 * share()),
            AmmoniumNitrogenMilligramsPerLitre: (int)(2100 * share()),
            PhosphorusMilligramsPerLitre: (int)(800 * share()),
            PotassiumMilligramsPerLitre: (int)(2500 * share())
        );

    private static SpreadReading Metered(int i, SpreadReading reading, long? wrong) =>
        reading with
        {
            TotalMillilitres = wrong ?? Total(i),
        };

    private static long Total(int i) => 25_000_000_000 + (i * 10_000L);

    private static SpreadReading Faded(SpreadReading reading, double share) =>
        reading with
        {
            AmmoniumNitrogenMilligramsPerLitre = (int)(reading.AmmoniumNitrogenMilligramsPerLitre!.Value * share),
        };

    private static long At(int seconds) => Some.Morning.AddSeconds(seconds).ToUnixTimeMilliseconds();
}
