using System.Globalization;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Web.Contracts.Replays;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Replays;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Replays: rebuilds of a farm's ledger in a shadow generation; start, follow and cancel.</summary>
internal static class ReplayEndpoints
{
    private const string EventStream = "text/event-stream";

    /// <summary>Starts a replay of one farm.</summary>
    public static void MapReplayStart(this RouteGroupBuilder farm) =>
        farm.MapPost("/replays", BeginAsync)
            .WithTags("Replays")
            .WithSummary("Rebuild the farm's ledger: compare it, switch to it, or show an earlier position or time")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status409Conflict);

    /// <summary>Lists, follows and cancels replays of all farms.</summary>
    public static void MapReplays(this RouteGroupBuilder api)
    {
        var replays = api.MapGroup("/replays").WithTags("Replays");
        replays
            .MapGet("", List)
            .WithSummary(
                $"Running replays and the last {ReplayService.FinishedKeptMax} finished ones (kept {ReplayService.FinishedKeptFor.TotalHours} hours, until the hub stops)"
            );
        replays
            .MapGet("/{replay}", Show)
            .WithSummary(
                "Status of a replay: JSON, or server-sent events (Accept: text/event-stream): \"progress\", \"heartbeat\" when nothing changed, and \"report\" at the end"
            )
            .Produces<ReplayResponse>()
            .Produces<ReplayResponse>(StatusCodes.Status200OK, EventStream)
            .ProducesProblem(StatusCodes.Status404NotFound);
        replays
            .MapDelete("/{replay}", CancelAsync)
            .WithSummary("Cancel a replay; answers when its rows are deleted")
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
    }

    private static async Task<Results<Accepted<ReplayResponse>, ProblemHttpResult>> BeginAsync(
        string farm,
        ReplayRequest? request,
        FarmQuery farms,
        LedgerRebuild ledgers,
        ReplayService replays,
        CancellationToken cancellationToken
    )
    {
        request ??= new();
        if (request is { AsOfPosition: not null, AsOfTime: not null })
            return BadRequest("asOfPosition and asOfTime exclude each other.", "Send one of them.");
        if (request.Switch && (request.AsOfPosition is not null || request.AsOfTime is not null))
            return BadRequest(
                "Cannot switch to an earlier ledger.",
                "To switch, leave out asOfPosition and asOfTime. To see an earlier ledger, leave out switch."
            );
        var asOf = request.AsOfTime is { } moment
            ? await ledgers.PositionAtAsync(farm, moment, cancellationToken)
            : request.AsOfPosition;
        if (asOf is { } position)
        {
            if (request.AsOfTime is { } early && position == 0)
                return BadRequest(
                    $"\"{early:yyyy-MM-ddTHH:mm:ssK}\" is not a valid asOfTime.",
                    $"Farm \"{farm}\" was registered later. Use a later time."
                );
            var result = await farms.FarmAsync(
                farm,
                position.ToString(CultureInfo.InvariantCulture),
                cancellationToken
            );
            if (result.IsProblem)
                return result.Problem;
        }
        var (begun, blocking) = replays.Begin(farm, request.Switch, asOf);
        return begun is { Response: var shown }
            ? TypedResults.Accepted(shown.Address, shown)
            : ApiProblem.Conflict(
                blocking[0].Response.Farm == farm
                    ? $"A replay of \"{farm}\" is already running."
                    : $"{ReplayService.ConcurrentMax} replays are running, which is the limit.",
                $"Wait for, or cancel (DELETE), {string.Join(", ", blocking.Select(replay => replay.Response.Address))}."
            );
    }

    private static Ok<ReplayList> List(ReplayService replays) =>
        TypedResults.Ok(new ReplayList([.. replays.All.Select(replay => replay.Response)]));

    private static Results<Ok<ReplayResponse>, ServerSentEventsResult<ReplayResponse?>, ProblemHttpResult> Show(
        string replay,
        HttpContext context,
        ReplayService replays,
        CancellationToken cancellationToken
    )
    {
        if (Find(replays, replay) is not { } found)
            return Unknown(replay);
        context.Response.Headers.Vary = "Accept";
        // The hub's stop is not linked to the token: it ends the replay, and the last event reports that.
        return context.Request.Headers.Accept.Any(accept => accept?.Contains(EventStream) == true)
            ? TypedResults.ServerSentEvents(found.FollowAsync(cancellationToken))
            : TypedResults.Ok(found.Response);
    }

    private static async Task<Results<Ok<ReplayResponse>, ProblemHttpResult>> CancelAsync(
        string replay,
        ReplayService replays,
        CancellationToken cancellationToken
    )
    {
        if (Find(replays, replay) is not { } found)
            return Unknown(replay);
        if (!found.IsRunning)
            return Over(found);
        await found.CancelAsync();
        await found.Ended.WaitAsync(cancellationToken);
        return found.Response.State == Replay.Cancelled ? TypedResults.Ok(found.Response) : Over(found);
    }

    private static Replay? Find(ReplayService replays, string id) =>
        long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number)
            ? replays.Find(number)
            : null;

    private static ProblemHttpResult Unknown(string id) =>
        ApiProblem.NotFound(
            $"There is no replay \"{id}\".",
            $"GET /api/replays lists them. Finished ones are kept {ReplayService.FinishedKeptFor.TotalHours} hours, until the hub stops."
        );

    private static ProblemHttpResult Over(Replay replay) =>
        ApiProblem.Conflict(
            $"The replay has ended: {replay.Response.State}.",
            $"Nothing to cancel. See {replay.Response.Address}."
        );

    private static ProblemHttpResult BadRequest(string title, string whatToDo) =>
        TypedResults.Problem(whatToDo, statusCode: StatusCodes.Status400BadRequest, title: title);
}
