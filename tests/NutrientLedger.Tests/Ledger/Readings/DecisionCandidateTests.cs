using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Ledger.Readings;

namespace NutrientLedger.Tests.Ledger.Readings;

/// <summary>Which decisions about readings are allowed; whether the readings exist is not checked here.</summary>
public class DecisionCandidateTests
{
    private static readonly DecisionCandidate Sound = new(
        Some.DragLine,
        TelemetryStream.Spread,
        Boot: 3,
        FirstSeq: 1,
        LastSeq: 9,
        " Meter stuck ",
        " Ada Ash "
    );

    [Fact]
    public void A_sound_void_is_the_event_without_blanks_around_words()
    {
        var candidate = new VoidCandidate(Sound, VoidedPart.Reading);

        Assert.Null(candidate.Problem);
        Assert.Equal(
            new("void-7", Some.DragLine, TelemetryStream.Spread, 3, 1, 9, VoidedPart.Reading, "Meter stuck", "Ada Ash"),
            candidate.Event("void-7")
        );
    }

    [Theory]
    [InlineData(VoidedPart.Reading, TelemetryStream.Spread, true)]
    [InlineData(VoidedPart.Reading, TelemetryStream.Store, true)]
    [InlineData(VoidedPart.Composition, TelemetryStream.Spread, true)]
    [InlineData(VoidedPart.Composition, TelemetryStream.Store, false)]
    [InlineData(VoidedPart.Level, TelemetryStream.Spread, false)]
    [InlineData(VoidedPart.Level, TelemetryStream.Store, true)]
    public void Only_what_is_spread_has_contents_and_only_what_is_stored_a_level(
        VoidedPart part,
        TelemetryStream stream,
        bool isSound
    ) =>
        Assert.Equal(
            isSound ? null : DecisionProblem.PartNotOfStream,
            new VoidCandidate(Sound with { Stream = stream }, part).Problem
        );

    [Fact]
    public void A_void_without_a_part_is_none() =>
        Assert.Equal(DecisionProblem.PartNotOfStream, new VoidCandidate(Sound, null).Problem);

    [Theory]
    [InlineData(TimeDecision.AsMeasured, null, true)]
    [InlineData(TimeDecision.AsMeasured, 0L, true)]
    [InlineData(TimeDecision.AsMeasured, 1L, false)]
    [InlineData(TimeDecision.LeftOut, null, true)]
    [InlineData(TimeDecision.LeftOut, -1L, false)]
    [InlineData(TimeDecision.Shifted, -1L, true)]
    [InlineData(TimeDecision.Shifted, 0L, false)]
    [InlineData(TimeDecision.Shifted, null, false)]
    [InlineData(null, null, false)]
    public void Only_what_is_shifted_has_a_shift(TimeDecision? decision, long? shift, bool isSound) =>
        Assert.Equal(
            isSound ? null : DecisionProblem.ShiftDoesNotFit,
            new TimeDecisionCandidate(Sound, decision, shift).Problem
        );

    [Fact]
    public void A_sound_decision_is_the_event_with_no_shift_as_0()
    {
        var decided = new TimeDecisionCandidate(Sound, TimeDecision.LeftOut, null).Event();

        Assert.Equal((TimeDecision.LeftOut, 0), (decided.Decision, decided.ShiftMilliseconds));
        Assert.Equal(("Meter stuck", "Ada Ash"), (decided.Reason, decided.By));
        Assert.Equal((3, 1, 9), (decided.Boot, decided.FirstSeq, decided.LastSeq));
    }

    [Fact]
    public void Who_and_why_have_at_most_200_characters()
    {
        var longest = new string('x', 200);

        Assert.Null((Sound with { Reason = $" {longest} ", By = longest }).Problem);
        Assert.Equal(DecisionProblem.ReasonMissing, (Sound with { Reason = longest + "x" }).Problem);
        Assert.Equal(DecisionProblem.ReasonMissing, (Sound with { Reason = "  ", By = "" }).Problem);
        Assert.Equal(DecisionProblem.NameMissing, (Sound with { By = longest + "x" }).Problem);
        Assert.Equal(DecisionProblem.NameMissing, (Sound with { By = null }).Problem);
    }

    [Fact]
    public void A_stream_is_needed_and_numbers_make_a_range_from_1_up()
    {
        Assert.Equal(DecisionProblem.StreamMissing, (Sound with { Stream = null }).Problem);
        Assert.Null((Sound with { Stream = TelemetryStream.Weather }).Problem);
        Assert.Null((Sound with { LastSeq = 1 }).Problem);
        foreach (
            var broken in new[]
            {
                Sound with
                {
                    Boot = null,
                },
                Sound with
                {
                    FirstSeq = null,
                },
                Sound with
                {
                    LastSeq = null,
                },
                Sound with
                {
                    FirstSeq = 0,
                },
                Sound with
                {
                    FirstSeq = 10,
                },
                Sound with
                {
                    LastSeq = long.MaxValue,
                },
            }
        )
            Assert.Equal(DecisionProblem.BadRange, broken.Problem);
    }

    [Fact]
    public void A_void_is_withdrawn_while_it_is_in_force_and_with_who_and_why()
    {
        var voided = Some.Configuration(new VoidCandidate(Sound, VoidedPart.Reading).Event("void-7"));
        var candidate = new VoidWithdrawalCandidate("void-7", " Checked ", "Ada Ash");

        Assert.Null(candidate.Problem(voided));
        Assert.Equal(new("void-7", "Checked", "Ada Ash"), candidate.Event());
        Assert.Equal(DecisionProblem.ReasonMissing, (candidate with { Reason = null }).Problem(voided));
        Assert.Equal(DecisionProblem.NotInForce, (candidate with { VoidId = "void-8" }).Problem(voided));
        Assert.Equal(DecisionProblem.NotInForce, candidate.Problem(voided.With(candidate.Event())));
    }
}
