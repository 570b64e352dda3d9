using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Endpoints;

/// <summary>What looks wrong with the readings of a period.</summary>
internal static class FindingEndpoints
{
    // The readings of the period are held in memory meanwhile; ten machines at ten a second for two working days are a few million.
    private static readonly TimeSpan LongestPeriod = TimeSpan.FromDays(2);

    public static void MapFindings(this RouteGroupBuilder api) =>
        api.MapGet("/farms/{farm}/findings", FindingsAsync)
            .WithTags("Decisions")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("Values that stand still, leap or drift in the readings of at most two days, with proposals");

    private static async Task<Results<Ok<FindingList>, ProblemHttpResult>> FindingsAsync(
        string farm,
        string? from,
        string? to,
        FarmInquiry farms,
        FindingReader readings,
        CancellationToken cancellationToken
    )
    {
        if ((Question.BadMoment("from", from) ?? Question.BadMoment("to", to)) is { } badMoment)
            return badMoment;
        if (
            (Question.Moment(from), Question.Moment(to)) is not ({ } first, { } before)
            || before <= first
            || before - first > LongestPeriod
        )
            return Refusal.BadValue(
                "period",
                $"{from} to {to}",
                "Give from and to as moments, to after from and at most two days later; ask for longer times piece by piece."
            );
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var found = await readings.FindAsync(farm, asked.Found.Register, first, before, cancellationToken);
        return TypedResults.Ok(
            new FindingList(
                farm,
                first,
                before,
                [.. found.Select(finding => Answer(finding, asked.Found.Register.Calendar!))]
            )
        );
    }

    private static FindingAnswer Answer(ReadingFinding finding, FarmCalendar calendar)
    {
        var (kind, stream) = (finding.Kind.ToString().ToLowerInvariant(), TradeWords.Of(finding.Stream));
        return new(
            kind,
            finding.Measured,
            finding.EquipmentId,
            stream,
            finding.Boot,
            finding.FirstSeq,
            finding.LastSeq,
            calendar.OnTheClock(finding.FromMilliseconds),
            calendar.OnTheClock(finding.ToMilliseconds),
            finding.HowStrong,
            finding.ProposedPart is { } part
                ? new(
                    finding.EquipmentId,
                    stream,
                    finding.Boot,
                    finding.FirstSeq,
                    finding.LastSeq,
                    part.ToString().ToLowerInvariant(),
                    $"{kind} {finding.Measured}: {finding.HowStrong}",
                    DecidedBy: null
                )
                : null
        );
    }
}
