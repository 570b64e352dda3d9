using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Decisions about readings: voids and questionable times.</summary>
internal static class DecisionEndpoints
{
    public static void MapDecisions(this RouteGroupBuilder farm)
    {
        var decisions = farm.MapGroup("").WithTags("Decisions").ProducesProblem(StatusCodes.Status400BadRequest);
        decisions.MapGet("/voids", Voids).WithSummary("Voids in force, oldest first");
        decisions.MapPost("/voids", VoidAsync).WithSummary("Void readings, fully or in part");
        decisions.MapPost("/voids/{id}/withdraw", WithdrawAsync).WithSummary("Withdraw a void");
        decisions
            .MapGet("/questionable-times", QuestionableTimesAsync)
            .WithSummary("Readings with a questionable time that need a decision");
        decisions
            .MapPost("/questionable-times/decide", DecideAsync)
            .WithSummary("Decide how to treat questionable times");
    }

    private static Ok<VoidList> Voids(string farm, RequestedFarm requested) =>
        TypedResults.Ok(new VoidList(farm, [.. requested.Configuration.Voids.Select(DecisionMapping.Void)]));

    private static Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> VoidAsync(
        string farm,
        VoidRequest request,
        RequestedFarm requested,
        ReadingDecisionHandler handler,
        CancellationToken cancellationToken
    ) => handler.VoidAsync(requested.Snapshot, request, cancellationToken);

    private static Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> WithdrawAsync(
        string farm,
        string id,
        VoidWithdrawalRequest request,
        RequestedFarm requested,
        ReadingDecisionHandler handler,
        CancellationToken cancellationToken
    ) => handler.WithdrawAsync(requested.Snapshot, id, request, cancellationToken);

    private static async Task<Ok<QuestionableTimeList>> QuestionableTimesAsync(
        string farm,
        RequestedFarm requested,
        QuestionableTimeReader questionable,
        CancellationToken cancellationToken
    )
    {
        var configuration = requested.Configuration;
        var waiting = await questionable.UndecidedAsync(farm, configuration, cancellationToken);
        return TypedResults.Ok(
            new QuestionableTimeList(
                farm,
                [.. waiting.Select(range => DecisionMapping.Waiting(range, configuration.Calendar!))]
            )
        );
    }

    private static Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> DecideAsync(
        string farm,
        QuestionableTimeDecisionRequest request,
        RequestedFarm requested,
        ReadingDecisionHandler handler,
        CancellationToken cancellationToken
    ) => handler.DecideAsync(requested.Snapshot, request, cancellationToken);
}
