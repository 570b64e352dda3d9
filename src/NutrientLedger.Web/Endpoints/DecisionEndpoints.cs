using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Endpoints;

/// <summary>What people decide about readings: voidings, and clocks in doubt.</summary>
internal static class DecisionEndpoints
{
    public static void MapDecisions(this RouteGroupBuilder api)
    {
        var farm = api.MapGroup("/farms/{farm}")
            .WithTags("Decisions")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
        farm.MapGet("/voids", VoidsAsync).WithSummary("Voids in force, oldest first");
        farm.MapPost("/voids", VoidAsync).WithSummary("Void readings, fully or in part");
        farm.MapPost("/voids/{id}/withdraw", WithdrawAsync).WithSummary("Withdraw a void");
        farm.MapGet("/questionable-times", QuestionableTimesAsync)
            .WithSummary("Readings with a questionable time that need a decision");
        farm.MapPost("/questionable-times/decide", DecideAsync).WithSummary("Decide how to treat questionable times");
    }

    private static async Task<Results<Ok<VoidList>, ProblemHttpResult>> VoidsAsync(
        string farm,
        FarmQuery farms,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        return result.IsProblem
            ? result.Problem
            : TypedResults.Ok(
                new VoidList(
                    farm,
                    [
                        .. result.Value.Configuration.Voids.Select(@void => new VoidResponse(
                            @void.VoidId,
                            @void.EquipmentId,
                            ApiWords.Of(@void.Stream),
                            @void.Boot,
                            @void.FirstSeq,
                            @void.LastSeq,
                            @void.Part.ToString().ToLowerInvariant(),
                            @void.Reason,
                            @void.By
                        )),
                    ]
                )
            );
    }

    private static async Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> VoidAsync(
        string farm,
        VoidRequest request,
        FarmQuery farms,
        ReadingDecisionHandler handler,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        VoidedPart? named = request switch
        {
            { Part: "reading" } => VoidedPart.Reading,
            { Part: "composition", Stream: "spread" } => VoidedPart.Composition,
            { Part: "level", Stream: "store" } => VoidedPart.Level,
            _ => null,
        };
        if (named is not { } part)
            return ApiProblem.BadValue(
                "part",
                request.Part ?? "",
                "Write reading, composition (stream spread) or level (stream store)."
            );
        if (await handler.ProblemAsync(farm, request, cancellationToken) is { } problem)
            return problem;
        return await handler.RecordAsync(
            farm,
            at =>
            {
                // The place in the register is nobody else's, because recording fails when the register has moved on.
                var id = FormattableString.Invariant($"void-{at.Version + 1}");
                var @event = new ReadingsVoided(
                    id,
                    request.Equipment!,
                    ReadingDecisionHandler.Stream(request.Stream)!.Value,
                    request.Boot!.Value,
                    request.FirstSeq!.Value,
                    request.LastSeq!.Value,
                    part,
                    request.Reason!.Trim(),
                    request.By!.Trim()
                );
                return (@event, id);
            },
            cancellationToken
        );
    }

    private static async Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> WithdrawAsync(
        string farm,
        string id,
        VoidWithdrawalRequest request,
        FarmQuery farms,
        ReadingDecisionHandler handler,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var inForce = result.Value.Configuration.Voids.Select(@void => @void.VoidId).ToArray();
        if (!inForce.Contains(id))
            return ApiProblem.Unknown("void in force", id, farm, inForce);
        return ReadingDecisionHandler.UnsignedProblem(request.Reason, request.By) is { } problem
            ? problem
            : await handler.RecordAsync(
                farm,
                _ => (new VoidWithdrawn(id, request.Reason!.Trim(), request.By!.Trim()), id),
                cancellationToken
            );
    }

    private static async Task<Results<Ok<QuestionableTimeList>, ProblemHttpResult>> QuestionableTimesAsync(
        string farm,
        FarmQuery farms,
        QuestionableTimeReader questionable,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var calendar = result.Value.Configuration.Calendar!;
        var waiting = await questionable.UndecidedAsync(farm, result.Value.Configuration, cancellationToken);
        return TypedResults.Ok(
            new QuestionableTimeList(
                farm,
                [
                    .. waiting.Select(stretch => new QuestionableTimeResponse(
                        stretch.EquipmentId,
                        ApiWords.Of(stretch.Stream),
                        stretch.Boot,
                        stretch.FirstSeq,
                        stretch.LastSeq,
                        calendar.ToFarmTime(stretch.ClaimedFromMilliseconds),
                        calendar.ToFarmTime(stretch.ClaimedToMilliseconds),
                        stretch.RecordedAt,
                        stretch.EstimatedShiftMilliseconds
                    )),
                ]
            )
        );
    }

    private static async Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> DecideAsync(
        string farm,
        QuestionableTimeDecisionRequest request,
        FarmQuery farms,
        ReadingDecisionHandler handler,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        TimeDecision? named = request switch
        {
            { Decision: "asMeasured", ShiftMilliseconds: null or 0 } => TimeDecision.AsMeasured,
            { Decision: "leftOut", ShiftMilliseconds: null or 0 } => TimeDecision.LeftOut,
            { Decision: "shifted", ShiftMilliseconds: not (null or 0) } => TimeDecision.Shifted,
            _ => null,
        };
        if (named is not { } decision)
            return ApiProblem.BadValue(
                "decision",
                request.Decision ?? "",
                "Write asMeasured or leftOut without a shift, or shifted with shiftMilliseconds other than 0."
            );
        if (await handler.ProblemAsync(farm, request, cancellationToken) is { } problem)
            return problem;
        var @event = new QuestionableTimeDecided(
            request.Equipment!,
            ReadingDecisionHandler.Stream(request.Stream)!.Value,
            request.Boot!.Value,
            request.FirstSeq!.Value,
            request.LastSeq!.Value,
            decision,
            request.ShiftMilliseconds ?? 0,
            request.Reason!.Trim(),
            request.By!.Trim()
        );
        return await handler.RecordAsync(farm, _ => (@event, null), cancellationToken);
    }
}
