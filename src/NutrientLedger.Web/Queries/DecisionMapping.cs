using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Queries;

/// <summary>
/// Maps requests with decisions about readings, and the responses: voids, questionable times and problems.
/// </summary>
internal static class DecisionMapping
{
    public static VoidCandidate Candidate(VoidRequest request) =>
        new(
            Readings(request),
            request.Part switch
            {
                "reading" => VoidedPart.Reading,
                "composition" => VoidedPart.Composition,
                "level" => VoidedPart.Level,
                "total" => VoidedPart.Total,
                _ => null,
            }
        );

    public static TimeDecisionCandidate Candidate(QuestionableTimeDecisionRequest request) =>
        new(
            Readings(request),
            request.Decision switch
            {
                "asMeasured" => TimeDecision.AsMeasured,
                "leftOut" => TimeDecision.LeftOut,
                "shifted" => TimeDecision.Shifted,
                _ => null,
            },
            request.ShiftMilliseconds
        );

    /// <summary>Why a decision cannot be recorded.</summary>
    public static ProblemHttpResult Problem(DecisionProblem problem, IReadingRangeRequest asked) =>
        problem switch
        {
            DecisionProblem.PartNotOfStream => ApiProblem.BadValue(
                "part",
                (asked as VoidRequest)?.Part ?? "",
                "Write reading, composition or total (stream spread), reading or level (stream store), or reading (stream weather)."
            ),
            DecisionProblem.ShiftDoesNotFit => ApiProblem.BadValue(
                "decision",
                (asked as QuestionableTimeDecisionRequest)?.Decision ?? "",
                "Write asMeasured or leftOut without a shift, or shifted with shiftMilliseconds other than 0."
            ),
            DecisionProblem.StreamMissing => ApiProblem.BadValue(
                "stream",
                asked.Stream ?? "",
                "Write spread, store or weather."
            ),
            DecisionProblem.BadRange => ApiProblem.BadValue(
                "range of numbers",
                $"{asked.FirstSeq} to {asked.LastSeq} of boot {asked.Boot}",
                "Write boot, firstSeq and lastSeq as whole numbers. firstSeq is 1 or more; lastSeq is included and not below firstSeq."
            ),
            DecisionProblem.TotalsUnknown => ApiProblem.BadValue(
                "range of numbers",
                $"{asked.FirstSeq} to {asked.LastSeq} of boot {asked.Boot}",
                $"The totals of readings {asked.FirstSeq - 1} and {asked.LastSeq + 1} must be stored and show what ran between them. Void the totals from the first wrong one to the last, or the whole readings."
            ),
            _ => Problem(problem, asked.Reason, asked.By),
        };

    /// <summary>Why a void cannot be withdrawn.</summary>
    public static ProblemHttpResult Problem(
        DecisionProblem problem,
        VoidWithdrawalCandidate candidate,
        string farm,
        FarmConfiguration configuration
    ) =>
        problem == DecisionProblem.NotInForce
            ? ApiProblem.Unknown(
                "void in force",
                candidate.VoidId,
                farm,
                configuration.Voids.Select(@void => @void.VoidId)
            )
            : Problem(problem, candidate.Reason, candidate.By);

    public static VoidResponse Void(ReadingsVoided @void) =>
        new(
            @void.VoidId,
            @void.EquipmentId,
            ApiWords.Of(@void.Stream),
            @void.Boot,
            @void.FirstSeq,
            @void.LastSeq,
            @void.Part.ToString().ToLowerInvariant(),
            @void.Reason,
            @void.By
        );

    public static QuestionableTimeResponse Waiting(QuestionableRange range, FarmCalendar calendar) =>
        new(
            range.EquipmentId,
            ApiWords.Of(range.Stream),
            range.Boot,
            range.FirstSeq,
            range.LastSeq,
            calendar.ToFarmTime(range.ClaimedFromMilliseconds),
            calendar.ToFarmTime(range.ClaimedToMilliseconds),
            range.RecordedAt,
            range.EstimatedShiftMilliseconds
        );

    private static ProblemHttpResult Problem(DecisionProblem problem, string? reason, string? by) =>
        problem switch
        {
            DecisionProblem.ReasonMissing => ApiProblem.BadValue(
                "reason",
                reason ?? "",
                $"Write the reason, 1 to {DecisionCandidate.TextLengthMax} characters."
            ),
            DecisionProblem.NameMissing => ApiProblem.BadValue(
                "by",
                by ?? "",
                $"Write who decides, 1 to {DecisionCandidate.TextLengthMax} characters."
            ),
            _ => throw new ArgumentOutOfRangeException(nameof(problem)),
        };

    private static DecisionCandidate Readings(IReadingRangeRequest asked) =>
        new(
            asked.Equipment,
            asked.Stream switch
            {
                "spread" => TelemetryStream.Spread,
                "store" => TelemetryStream.Store,
                _ => null,
            },
            asked.Boot,
            asked.FirstSeq,
            asked.LastSeq,
            asked.Reason,
            asked.By
        );
}
