using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Findings in the readings of a period.</summary>
internal static class FindingEndpoints
{
    // All readings of the period are held in memory. Ten devices with ten readings a second make a few million in two
    // working days.
    private static readonly TimeSpan PeriodMax = TimeSpan.FromDays(2);

    public static void MapFindings(this RouteGroupBuilder farm) =>
        farm.MapGet("/findings", FindingsAsync)
            .WithTags("Decisions")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Stuck, jumping or drifting values in up to two days of readings, with proposals");

    private static async Task<Results<Ok<FindingList>, ProblemHttpResult>> FindingsAsync(
        string farm,
        string? from,
        string? to,
        RequestedFarm requested,
        FindingReader readings,
        CancellationToken cancellationToken
    )
    {
        if ((QueryParameters.BadMoment("from", from) ?? QueryParameters.BadMoment("to", to)) is { } badMoment)
            return badMoment;
        if (
            (QueryParameters.Moment(from), QueryParameters.Moment(to)) is not ({ } first, { } before)
            || before <= first
            || before - first > PeriodMax
        )
            return ApiProblem.BadRequest(
                from is null || to is null ? "from or to is missing." : $"\"{from} to {to}\" is not a valid period.",
                "Write from and to as times, to at most two days after from. Ask for longer periods in parts."
            );
        var found = await readings.FindAsync(farm, requested.Configuration, first, before, cancellationToken);
        return TypedResults.Ok(
            new FindingList(
                farm,
                first,
                before,
                [.. found.Select(finding => Response(finding, requested.Configuration.Calendar!))]
            )
        );
    }

    private static FindingResponse Response(ReadingFinding finding, FarmCalendar calendar)
    {
        var (kind, stream) = (finding.Kind.ToString().ToLowerInvariant(), ApiWords.Of(finding.Stream));
        return new(
            kind,
            finding.Measured,
            finding.EquipmentId,
            stream,
            finding.Boot,
            finding.FirstSeq,
            finding.LastSeq,
            calendar.ToFarmTime(finding.FromMilliseconds),
            calendar.ToFarmTime(finding.ToMilliseconds),
            FindingWording.Of(finding.Strength),
            finding.ProposedPart is { } part
                ? new(
                    finding.EquipmentId,
                    stream,
                    finding.Boot,
                    finding.FirstSeq,
                    finding.LastSeq,
                    part.ToString().ToLowerInvariant(),
                    $"{kind} {finding.Measured}: {FindingWording.Of(finding.Strength)}",
                    By: null
                )
                : null
        );
    }
}
