using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Readings;

namespace NutrientLedger.Tests.Ledger.Readings;

/// <summary>
/// A device whose clock says 1 January 2000. One reading a second from 00:00 on, each message a second after its
/// measurement.
/// </summary>
public class QuestionableRangeTests
{
    private static readonly DateTimeOffset Claimed = new(2000, 1, 1, 0, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Stretches_whose_numbers_follow_each_other_are_one_in_whatever_order_they_came()
    {
        var (first, second, third) = (Stretch(1, 10), Stretch(11, 15), Stretch(16, 16));
        var expected = first with { LastSeq = 16, ClaimedToMilliseconds = third.ClaimedToMilliseconds };

        Assert.Equal(expected, Assert.Single(QuestionableRange.Joined([first, second, third])));
        Assert.Equal(expected, Assert.Single(QuestionableRange.Joined([third, first, second])));
    }

    [Fact]
    public void Of_several_events_the_smallest_shift_and_the_first_recording_are_given()
    {
        var late = Stretch(1, 10, lateSeconds: 7_200);

        var joined = Assert.Single(QuestionableRange.Joined([late, Stretch(11, 15)]));

        Assert.Equal(Stretch(11, 15).EstimatedShiftMilliseconds, joined.EstimatedShiftMilliseconds);
        Assert.Equal(Stretch(11, 15).RecordedAt, joined.RecordedAt);
    }

    [Fact]
    public void Other_devices_boots_and_streams_and_missing_or_decided_numbers_separate_stretches()
    {
        var first = Stretch(1, 10);

        Assert.Equal(2, QuestionableRange.Joined([first, Stretch(12, 15)]).Count);
        Assert.Equal(2, QuestionableRange.Joined([first, Stretch(11, 15) with { Boot = 2 }]).Count);
        Assert.Equal(2, QuestionableRange.Joined([first, Stretch(11, 15) with { EquipmentId = Some.Wagon }]).Count);
        Assert.Equal(
            2,
            QuestionableRange.Joined([first, Stretch(11, 15) with { Stream = TelemetryStream.Store }]).Count
        );
        var decided = new QuestionableTimeDecided(
            Some.DragLine,
            TelemetryStream.Spread,
            1,
            9,
            11,
            TimeDecision.LeftOut,
            0,
            "Clock looked up",
            "Ada Ash"
        );
        var left = QuestionableRange.Joined([.. Of(1, 10, 1, decided), .. Of(11, 15, 1, decided)]);
        Assert.Equal([(1L, 8L), (12L, 15L)], left.Select(it => (it.FirstSeq, it.LastSeq)));
    }

    [Fact]
    public void Where_the_claimed_time_falls_back_or_leaps_another_clock_begins()
    {
        var first = Stretch(1, 10);
        var next = Stretch(11, 15);
        QuestionableRange Moved(long milliseconds) =>
            next with
            {
                ClaimedFromMilliseconds = first.ClaimedToMilliseconds + milliseconds,
                ClaimedToMilliseconds = first.ClaimedToMilliseconds + milliseconds + 4_000,
            };

        Assert.Equal(2, QuestionableRange.Joined([first, Moved(-1)]).Count);
        Assert.Single(QuestionableRange.Joined([first, Moved(0)]));
        Assert.Single(QuestionableRange.Joined([first, Moved(86_400_000)]));
        Assert.Equal(2, QuestionableRange.Joined([first, Moved(86_400_001)]).Count);
    }

    [Fact]
    public void Readings_that_one_commit_put_into_a_batch_are_the_same_stretches_as_in_two()
    {
        // The clock was set in the middle and is still wrong: two days later.
        SpreadReading[] readings =
        [
            .. Enumerable
                .Range(1, 20)
                .Select(seq => new SpreadReading(
                    Claimed.AddDays(seq > 10 ? 2 : 0).AddSeconds(seq).ToUnixTimeMilliseconds()
                )),
        ];
        QuestionableRange[] Cut(params int[] ends) =>
            [
                .. QuestionableRange.Joined([
                    .. ends.Prepend(0)
                        .Zip(ends)
                        .SelectMany(part =>
                            QuestionableRange.Of(
                                Some.Batch(readings[part.First..part.Second], part.First + 1).Batch,
                                Some.Morning,
                                Some.Configuration(Some.ConfigurationEvents())
                            )
                        ),
                ]),
            ];

        var whole = Cut(20);

        Assert.Equal([(1L, 10L), (11L, 20L)], whole.Select(it => (it.FirstSeq, it.LastSeq)));
        Assert.Equal(whole, Cut(10, 20));
        Assert.Equal(whole, Cut(4, 15, 20));
    }

    private static QuestionableRange Stretch(int first, int last, int lateSeconds = 1) =>
        Assert.Single(Of(first, last, lateSeconds));

    private static IEnumerable<QuestionableRange> Of(
        int first,
        int last,
        int lateSeconds,
        params IJournalEvent[] decided
    ) =>
        QuestionableRange.Of(
            Some.Batch(
                Enumerable
                    .Range(first, last - first + 1)
                    .Select(seq => new SpreadReading(Claimed.AddSeconds(seq).ToUnixTimeMilliseconds())),
                first
            ).Batch,
            Some.Morning.AddSeconds(last + lateSeconds),
            Some.Configuration([.. Some.ConfigurationEvents(), .. decided])
        );
}
