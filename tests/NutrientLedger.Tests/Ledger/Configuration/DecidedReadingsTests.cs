using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Configuration;

public class DecidedReadingsTests
{
    private static readonly SpreadReading[] Driven = new Pass(10).Drive();

    /// <summary>One interval of the pass, in mL.</summary>
    private const long Step = 30_000;

    [Fact]
    public void A_void_reading_takes_both_its_intervals_out()
    {
        var sums = Sums(Some.Batch(Driven), Void(4, 4));

        Assert.Equal(7 * Step, sums.VolumeMillilitres);
        Assert.Equal(7, sums.Intervals);
        Assert.Equal(0, sums.NotPlacedMillilitres + sums.UnknownIntervals);
    }

    [Fact]
    public void A_void_composition_leaves_the_volume_and_takes_the_contents_out()
    {
        var sums = Sums(Some.Batch(Driven), Void(4, 6, VoidedPart.Composition));

        Assert.Equal(9 * Step, sums.VolumeMillilitres);
        Assert.Equal(3 * Step, sums.TotalNitrogen.MillilitresWithout);
        Assert.Equal(3 * Step, sums.DryMatter.MillilitresWithout);
        Assert.Equal((Int128)6 * Step * 4_000, sums.TotalNitrogen.WeightedSum);
    }

    /// <summary>
    /// A meter at 25,000 m³ sends a zero, or far too much, for three seconds. Both intervals beside them are unknown.
    /// </summary>
    [Theory]
    [InlineData(0)]
    [InlineData(10_000_000_000_000)]
    public void Wrong_totals_put_nothing_on_a_field_and_once_void_their_neighbours_meet_across_them(long wrong)
    {
        var totals = Enumerable.Range(0, 10).Select(i => 25_000_000_000 + (i * Step)).ToArray();
        var driven = Driven.Select(
            (reading, i) => reading with { TotalMillilitres = i is >= 3 and <= 5 ? wrong : totals[i] }
        );
        var batch = Some.Batch([.. driven]);
        var sums = Sums(batch);

        Assert.Equal((5 * Step, 2), (sums.VolumeMillilitres, sums.UnknownIntervals));
        Assert.Equal(0, sums.NotPlacedMillilitres);

        var @void = Void(4, 6, VoidedPart.Total) with { Across = new(totals[2], 4 * Step) };
        Assert.Equal(Sums(Some.Batch(Driven)), Sums(batch, @void));
        Assert.Equal(sums, Sums(batch, @void, new VoidWithdrawn(@void.VoidId, "It was right after all", "Ada Ash")));
    }

    [Fact]
    public void Void_totals_grow_evenly_and_the_last_void_of_a_total_holds()
    {
        var first = Void(2, 4, VoidedPart.Total) with { Across = new(100, 7) };
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            first,
            Void(4, 4, VoidedPart.Total) with
            {
                VoidId = "later",
                Across = new(500, 10),
            },
        ]);
        var decided = configuration.Decided(Some.DragLine, TelemetryStream.Spread, 1);

        // 100 + 7/4, 100 + 14/4 and 500 + 10/2.
        long?[] expected = [null, 101, 103, 505, null];
        Assert.Equal(expected, Enumerable.Range(1, 5).Select(seq => decided[seq].TotalInstead));
    }

    [Fact]
    public void A_withdrawn_void_leaves_no_trace_whichever_was_recorded_first()
    {
        var (made, taken) = (Void(1, 10), new VoidWithdrawn("void-1-10", "It was right after all", "Ada Ash"));
        var untouched = Sums(Some.Batch(Driven));

        Assert.Equal(untouched, Sums(Some.Batch(Driven), made, taken));
        Assert.Equal(untouched, Sums(Some.Batch(Driven), taken, made));
        Assert.Equal(0, Sums(Some.Batch(Driven), made, taken with { VoidId = "another" }).VolumeMillilitres);
    }

    [Fact]
    public void A_decision_is_about_one_device_stream_and_boot_only()
    {
        var untouched = Sums(Some.Batch(Driven));

        Assert.Equal(untouched, Sums(Some.Batch(Driven), Void(1, 10) with { EquipmentId = Some.Wagon }));
        Assert.Equal(untouched, Sums(Some.Batch(Driven), Void(1, 10) with { Stream = TelemetryStream.Store }));
        Assert.Equal(untouched, Sums(Some.Batch(Driven), Void(1, 10) with { Boot = 2 }));
    }

    [Fact]
    public void Shifted_readings_are_posted_by_their_shifted_time()
    {
        var ahead = Driven.Select(reading =>
            reading with
            {
                MeasuredAtMilliseconds = reading.MeasuredAtMilliseconds + 500L * 86_400_000,
            }
        );
        var shift = Decide(1, 10, TimeDecision.Shifted, -500L * 86_400_000);

        Assert.Equal(0, Sums(Some.Batch(ahead)).VolumeMillilitres);
        Assert.Equal(Sums(Some.Batch(Driven)), Sums(Some.Batch(ahead), shift));
        var (asPosted, asShifted) = (Posted(Some.Batch(Driven)), Posted(Some.Batch(ahead), shift));
        Assert.Equal(asPosted.Lines, asShifted.Lines);
    }

    [Fact]
    public void Readings_decided_as_measured_count_although_their_time_is_questionable()
    {
        var old = Driven.Select(reading =>
            reading with
            {
                MeasuredAtMilliseconds = reading.MeasuredAtMilliseconds - 300L * 86_400_000,
            }
        );

        Assert.Equal(0, Sums(Some.Batch(old)).VolumeMillilitres);
        Assert.Equal(9 * Step, Sums(Some.Batch(old), Decide(1, 10, TimeDecision.AsMeasured)).VolumeMillilitres);
    }

    [Fact]
    public void Of_decisions_about_a_reading_the_last_one_recorded_holds_and_a_void_overrides_all()
    {
        var (leave, keep) = (Decide(3, 10, TimeDecision.LeftOut), Decide(1, 8, TimeDecision.AsMeasured));

        Assert.Equal(7 * Step, Sums(Some.Batch(Driven), leave, keep).VolumeMillilitres);
        Assert.Equal(Step, Sums(Some.Batch(Driven), keep, leave).VolumeMillilitres);
        Assert.Equal(0, Sums(Some.Batch(Driven), keep, Void(1, 10)).VolumeMillilitres);
    }

    [Fact]
    public void A_shift_beyond_any_possible_time_leaves_the_readings_out()
    {
        Assert.Equal(0, Sums(Some.Batch(Driven), Decide(1, 10, TimeDecision.Shifted, long.MaxValue)).VolumeMillilitres);
        Assert.Equal(0, Sums(Some.Batch(Driven), Decide(1, 10, TimeDecision.Shifted, long.MinValue)).VolumeMillilitres);
    }

    [Fact]
    public void A_decision_up_to_the_last_possible_number_ends_there()
    {
        Assert.Equal(Step, Sums(Some.Batch(Driven), Void(3, long.MaxValue)).VolumeMillilitres);
        Assert.Equal(0, Sums(Some.Batch(Driven, long.MaxValue - 20), Void(3, long.MaxValue)).VolumeMillilitres);
    }

    [Fact]
    public void Neighbours_of_a_batch_are_read_by_the_decisions_about_them()
    {
        var batch = new SpreadingMeasured(
            new(Some.DragLine, 1, 4, [.. Driven[3..6]], Before: Driven[2], After: Driven[6])
        );

        Assert.Equal(4 * Step, Sums(batch).VolumeMillilitres);
        Assert.Equal(3 * Step, Sums(batch, Void(3, 3)).VolumeMillilitres);
        Assert.Equal(3 * Step, Sums(batch, Void(7, 7)).VolumeMillilitres);
    }

    [Fact]
    public void Levels_are_voided_shifted_and_left_out_alike()
    {
        var at = Some.Morning.ToUnixTimeMilliseconds();
        var batch = new StorageLevelMeasured(
            new("level-1", 1, 1, [new(at, 1_000), new(at + 60_000, 1_100), new(at + 120_000, 1_200)])
        );
        IJournalEvent[] pit =
        [
            Some.PitOf(new RoundTank(30_000, 4_000)),
            Some.Mounted(null, "radar-1", "level-1", SensorPlace.InPit, Some.Pit),
        ];

        Assert.Equal(3_300, Level().SumMillimetres);
        Assert.Equal(2_100, Level(OfLevel(Void(3, 3, VoidedPart.Level))).SumMillimetres);
        Assert.Equal(2_200, Level(OfLevel(Void(2, 2))).SumMillimetres);
        var shifted = Level(
            Decide(1, 1, TimeDecision.Shifted, 180_000) with
            {
                EquipmentId = "level-1",
                Stream = TelemetryStream.Store,
            }
        );
        Assert.Equal((at + 180_000, 1_000), (shifted.LastAtMilliseconds, shifted.LastMillimetres));

        LevelHour Level(params IJournalEvent[] decided) =>
            Some.Posted(Some.Configuration([Some.Farm(), .. pit, .. decided]), batch).Levels.Values.Single();

        static ReadingsVoided OfLevel(ReadingsVoided ofReading) =>
            ofReading with
            {
                EquipmentId = "level-1",
                Stream = TelemetryStream.Store,
            };
    }

    private static ReadingsVoided Void(long first, long last, VoidedPart part = VoidedPart.Reading) =>
        new(
            $"void-{first}-{last}",
            Some.DragLine,
            TelemetryStream.Spread,
            1,
            first,
            last,
            part,
            "Window fouled",
            "Ada Ash"
        );

    private static QuestionableTimeDecided Decide(long first, long last, TimeDecision decision, long shift = 0) =>
        new(Some.DragLine, TelemetryStream.Spread, 1, first, last, decision, shift, "Clock looked up", "Ada Ash");

    private static LedgerAddition Posted(SpreadingMeasured batch, params IJournalEvent[] decided) =>
        Some.Posted(Some.Configuration([.. Some.ConfigurationEvents(), .. decided]), batch);

    private static LineAmounts Sums(SpreadingMeasured batch, params IJournalEvent[] decided) =>
        Posted(batch, decided).Lines.Values.Aggregate(LineAmounts.None, (sum, line) => sum + line);
}
