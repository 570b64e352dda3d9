using System.Globalization;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Contracts.Rejected;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Rejected messages: list, show, retry after a fix, or close with a reason.</summary>
internal static class RejectedEndpoints
{
    private const int CountDefault = 100;
    private const int CountMax = 1000;
    private const int TextLengthMax = 500;

    public static void MapRejected(this RouteGroupBuilder api)
    {
        var rejected = api.MapGroup("/rejected").WithTags("Rejected messages");
        rejected
            .MapGet("", ListAsync)
            .WithSummary("Rejected messages, newest first, with the reason")
            .ProducesProblem(StatusCodes.Status400BadRequest);
        rejected
            .MapGet("/{id}", ShowAsync)
            .WithSummary("One rejected message with its bytes")
            .ProducesProblem(StatusCodes.Status404NotFound);
        rejected
            .MapPost("/{id}/retry", RetryAsync)
            .WithSummary("Retry a rejected message")
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
        rejected
            .MapPost("/retry", RetryAllAsync)
            .WithSummary("Retry all open messages of a farm, for example after importing its farm file")
            .ProducesProblem(StatusCodes.Status400BadRequest);
        rejected
            .MapPost("/{id}/close", CloseAsync)
            .WithSummary("Close a rejected message for good, with who and why")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
    }

    private static async Task<Results<Ok<RejectedListResponse>, ProblemHttpResult>> ListAsync(
        string? farm,
        string? state,
        string? after,
        string? limit,
        DeadLetterQueue list,
        CancellationToken cancellationToken
    )
    {
        var count = CountDefault;
        if (
            limit is not null
            && (!int.TryParse(limit, CultureInfo.InvariantCulture, out count) || count is < 1 or > CountMax)
        )
            return ApiProblem.BadValue("limit", limit, $"Write a whole number from 1 to {CountMax}.");
        if (after is not null && NumberOf(after) is null)
            return ApiProblem.BadValue("after", after, "Write the id of a message. Older ones are listed.");
        DeadLetterState? wantedState = Enum.GetValues<DeadLetterState>()
            .Where(one => RejectedMapping.Word(one) == state)
            .Select(one => (DeadLetterState?)one)
            .FirstOrDefault();
        if (state is not null && wantedState is null)
            return ApiProblem.BadValue("state", state, "Write open, stored or closed. Leave it out for all.");
        var query = new DeadLetterQuery(farm, wantedState, after is null ? null : NumberOf(after), count);
        var listed = await list.ListAsync(query, cancellationToken);
        var notKept = await list.OverflowAsync(farm, cancellationToken);
        return TypedResults.Ok(
            new RejectedListResponse(
                [.. listed.Select(RejectedMapping.Message)],
                listed.Count == count ? listed[^1].Id : null,
                [.. notKept.Select(RejectedMapping.NotKept)]
            )
        );
    }

    private static async Task<Results<Ok<RejectedPayloadResponse>, ProblemHttpResult>> ShowAsync(
        string id,
        DeadLetterQueue list,
        CancellationToken cancellationToken
    )
    {
        var found = await FindAsync(id, list, cancellationToken);
        return found.IsProblem ? found.Problem : TypedResults.Ok(RejectedMapping.WithPayload(found.Value));
    }

    private static async Task<Results<Ok<RetryResponse>, ProblemHttpResult>> RetryAsync(
        string id,
        DeadLetterQueue list,
        [FromServices] RetryHandler retry,
        CancellationToken cancellationToken
    )
    {
        var found = await FindAsync(id, list, cancellationToken);
        if (found.IsProblem)
            return found.Problem;
        if (NotOpen(found.Value.Summary) is { } conflict)
            return conflict;
        return TypedResults.Ok(await retry.OneAsync(found.Value, cancellationToken));
    }

    private static async Task<Results<Ok<RetryAllResponse>, ProblemHttpResult>> RetryAllAsync(
        string? farm,
        [FromServices] RetryHandler retry,
        CancellationToken cancellationToken
    ) =>
        string.IsNullOrEmpty(farm)
            ? ApiProblem.BadValue("farm", farm ?? "", "Name the farm whose messages to retry: ?farm=…")
            : TypedResults.Ok(await retry.AllAsync(farm, equipment: null, cancellationToken));

    private static async Task<Results<Ok<RejectedMessageResponse>, ProblemHttpResult>> CloseAsync(
        string id,
        CloseRequest closing,
        DeadLetterQueue list,
        CancellationToken cancellationToken
    )
    {
        if (!IsValidText(closing.By))
            return ApiProblem.BadValue(
                "by",
                closing.By ?? "",
                $"Write who closes the message, at most {TextLengthMax} characters."
            );
        if (!IsValidText(closing.Reason))
            return ApiProblem.BadValue(
                "reason",
                closing.Reason ?? "",
                $"Write the reason, at most {TextLengthMax} characters."
            );
        var found = await FindAsync(id, list, cancellationToken);
        if (found.IsProblem)
            return found.Problem;
        var number = found.Value.Summary.Id;
        var closed = await list.CloseAsync(number, closing.By!, closing.Reason!, cancellationToken);
        var now = (await list.ReadAsync(number, cancellationToken))?.Summary ?? found.Value.Summary;
        return !closed && NotOpen(now) is { } conflict ? conflict : TypedResults.Ok(RejectedMapping.Message(now));
    }

    private static async Task<Result<DeadLetter>> FindAsync(
        string id,
        DeadLetterQueue list,
        CancellationToken cancellationToken
    ) =>
        NumberOf(id) is { } number && await list.ReadAsync(number, cancellationToken) is { } message
            ? message
            : ApiProblem.NotFound($"There is no rejected message \"{id}\".", "GET /api/rejected lists them.");

    private static ProblemHttpResult? NotOpen(DeadLetterSummary listed) =>
        listed.State switch
        {
            DeadLetterState.Stored => ApiProblem.AlreadyDecided($"Message {listed.Id} was retried and is stored."),
            DeadLetterState.Closed => ApiProblem.AlreadyDecided(
                $"Message {listed.Id} was closed by {listed.ClosedBy}: {listed.CloseReason}"
            ),
            _ => null,
        };

    private static bool IsValidText(string? text) => !string.IsNullOrWhiteSpace(text) && text.Length <= TextLengthMax;

    private static long? NumberOf(string id) =>
        long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : null;
}
