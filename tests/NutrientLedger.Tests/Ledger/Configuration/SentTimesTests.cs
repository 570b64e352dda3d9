using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Tests.Ledger.Configuration;

public class SentTimesTests
{
    private static readonly FarmConfiguration Usual = Some.Configuration(Some.ConfigurationEvents());

    [Fact]
    public void A_clock_that_nobody_shifted_sent_the_times_that_count() =>
        Assert.Equal([new SentTimes("gauge", 1_000, 2_000)], Of(Usual.With(Decided(TimeDecision.AsMeasured, 0))));

    [Fact]
    public void Each_shift_adds_the_period_moved_back_once()
    {
        var shifted = Usual
            .With(Decided(TimeDecision.Shifted, 5_000))
            .With(Decided(TimeDecision.Shifted, 5_000) with { Boot = 2 })
            .With(Decided(TimeDecision.Shifted, -300) with { Boot = 3 });
        Assert.Equal(
            [new SentTimes("gauge", -4_000, -3_000), new("gauge", 1_000, 2_000), new("gauge", 1_300, 2_300)],
            Of(shifted).OrderBy(times => times.FromMilliseconds)
        );
    }

    [Fact]
    public void A_shift_that_was_decided_otherwise_since_adds_nothing() =>
        Assert.Single(Of(Usual.With(Decided(TimeDecision.Shifted, 77)).With(Decided(TimeDecision.AsMeasured, 0))));

    [Fact]
    public void Other_devices_and_streams_add_nothing()
    {
        var shifted = Usual
            .With(Decided(TimeDecision.Shifted, 5_000) with { EquipmentId = "other" })
            .With(Decided(TimeDecision.Shifted, 5_000) with { Stream = TelemetryStream.Spread });
        Assert.Single(Of(shifted));
    }

    [Fact]
    public void The_largest_shift_does_not_overflow() =>
        Assert.Contains(
            new SentTimes("gauge", long.MaxValue, long.MaxValue),
            Of(Usual.With(Decided(TimeDecision.Shifted, long.MinValue)))
        );

    private static SentTimes[] Of(FarmConfiguration configuration) =>
        [.. SentTimes.Of(configuration, TelemetryStream.Store, "gauge", 1_000, 2_000)];

    private static QuestionableTimeDecided Decided(TimeDecision decision, long shift) =>
        new("gauge", TelemetryStream.Store, 1, 1, 9, decision, shift, "looked at", "Ada Ash");
}
