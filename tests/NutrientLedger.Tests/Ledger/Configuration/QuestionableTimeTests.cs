using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Configuration;

public class QuestionableTimeTests
{
    private static readonly FarmConfiguration Usual = Some.Configuration(Some.ConfigurationEvents());

    [Fact]
    public void A_reading_five_minutes_ahead_of_its_recording_is_valid_and_a_millisecond_more_is_questionable()
    {
        var batch = Some.Batch(new Pass(2) { StepMilliseconds = 1 }.Drive()).Batch;

        Assert.Equal(1, QuestionableTime.Count(batch, Some.Morning.AddMinutes(-5), Usual));
        Assert.Equal(0, QuestionableTime.Count(batch, Some.Morning.AddMinutes(-5).AddMilliseconds(1), Usual));
        Assert.Equal(2, QuestionableTime.Count(batch, Some.Morning.AddMinutes(-5).AddMilliseconds(-1), Usual));
    }

    [Fact]
    public void A_reading_from_before_the_ledger_begins_at_the_farms_midnight_is_questionable()
    {
        // 00:00 on 14 April in Chicago is 05:00 UTC.
        var configuration = Some.Configuration(Some.Farm(begins: new(2026, 4, 14)));
        var begins = new DateTimeOffset(2026, 4, 14, 5, 0, 0, TimeSpan.Zero);
        var batch = Some.Batch(new Pass(3) { Start = begins.AddSeconds(-2) }.Drive()).Batch;

        Assert.Equal(2, QuestionableTime.Count(batch, Some.Recorded, configuration));
    }

    [Fact]
    public void An_interval_with_a_questionable_end_is_not_posted()
    {
        var ahead = new Pass(11)
        {
            Change = (i, reading) =>
                i == 5
                    ? reading with
                    {
                        MeasuredAtMilliseconds = Some.Recorded.AddDays(1).ToUnixTimeMilliseconds(),
                    }
                    : reading,
        };

        var (_, amounts) = Assert.Single(Some.Posted(Usual, Some.Batch(ahead.Drive())).Lines);

        Assert.Equal((8, 240_000), (amounts.Intervals, amounts.VolumeMillilitres));
    }

    [Fact]
    public void An_interval_is_judged_by_the_event_that_holds_the_pair()
    {
        var readings = new Pass(2).Drive();
        var early = Some.Morning.AddMinutes(-10);
        var late = new SpreadingMeasured(new(Some.DragLine, 1, 2, [readings[1]], Before: readings[0]));
        var accumulator = new LedgerAccumulator();

        accumulator.Post(Some.Batch(readings[..1]), early, Usual);
        accumulator.Post(late, Some.Morning, Usual);

        Assert.Equal(1, QuestionableTime.Count(Some.Batch(readings[..1]).Batch, early, Usual));
        Assert.Equal(30_000, Assert.Single(accumulator.Lines).Value.VolumeMillilitres);
    }

    [Fact]
    public void Levels_and_weather_are_judged_alike()
    {
        var level = new ReadingBatch<NutrientLedger.Journal.Storage.LevelReading>(
            "level-1",
            1,
            1,
            [new(Some.Morning.ToUnixTimeMilliseconds(), 2_000)]
        );

        Assert.Equal(1, QuestionableTime.Count(level, Some.Morning.AddHours(-1), Usual));
        Assert.Equal(0, QuestionableTime.Count(level, Some.Morning.AddHours(1), Usual));
    }
}
