using System.Globalization;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Office.Replaying;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Replays: a farm's ledger posted anew beside the live one, begun, followed and cancelled.</summary>
internal static class ReplayEndpoints
{
    private const string EventStream = "text/event-stream";

    public static void MapReplays(this RouteGroupBuilder api)
    {
        api.MapPost("/farms/{farm}/replays", BeginAsync)
            .WithTags("Replays")
            .WithSummary(
                "Begin to post the farm's ledger anew and compare it with the live one, to take its place, or to say what it said at an earlier position or time"
            )
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
        var replays = api.MapGroup("/replays").WithTags("Replays");
        replays
            .MapGet("", List)
            .WithSummary(
                $"The replays at work and the newest {Replays.OverKeptMost} that are over, kept for {Replays.OverKeptFor.TotalHours} hours at most and until the hub stops"
            );
        replays
            .MapGet("/{replay}", Show)
            .WithSummary(
                "How a replay stands: JSON, or (Accept: text/event-stream) server-sent events: \"progress\" as it comes on, \"still\" when nothing changed, and last of all \"report\""
            )
            .Produces<ReplayAnswer>()
            .Produces<ReplayAnswer>(StatusCodes.Status200OK, EventStream)
            .ProducesProblem(StatusCodes.Status404NotFound);
        replays
            .MapDelete("/{replay}", CancelAsync)
            .WithSummary("Cancel a replay; answers when it has stopped and nothing of it is left behind")
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
    }

    private static async Task<Results<Accepted<ReplayAnswer>, ProblemHttpResult>> BeginAsync(
        string farm,
        ReplayQuestion? question,
        FarmInquiry farms,
        LedgerReplay ledgers,
        Replays replays,
        CancellationToken cancellationToken
    )
    {
        question ??= new();
        if (question is { AsOfPosition: not null, AsOfTime: not null })
            return Refused("asOfPosition and asOfTime both say when.", "Give one of them.");
        if (question.Switch && (question.AsOfPosition is not null || question.AsOfTime is not null))
            return Refused(
                "An earlier ledger cannot take the live one's place.",
                "To switch, leave out asOfPosition and asOfTime; to ask what was said then, leave out switch."
            );
        var asked = await farms.FarmAsync(farm, null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var asOf = question.AsOfTime is { } moment
            ? await ledgers.PositionAtAsync(farm, moment, cancellationToken)
            : question.AsOfPosition;
        if (asOf is { } position)
        {
            if (question.AsOfTime is { } early && position == 0)
                return Refused(
                    $"\"{early:yyyy-MM-ddTHH:mm:ssK}\" is no use as asOfTime.",
                    $"Farm \"{farm}\" was registered later; ask for a later moment."
                );
            asked = await farms.FarmAsync(farm, position.ToString(CultureInfo.InvariantCulture), cancellationToken);
            if (asked.IsRefused)
                return asked.Refusal;
        }
        var (begun, inTheWay) = replays.Begin(farm, question.Switch, asOf);
        return begun is { Shown: var shown }
            ? TypedResults.Accepted(shown.Address, shown)
            : Refusal.Conflict(
                inTheWay[0].Shown.Farm == farm
                    ? $"The ledger of \"{farm}\" is being replayed already."
                    : $"{Replays.AtOnceMost} replays are at work, and a hub runs no more at the same time.",
                $"Wait for the end of, or cancel (DELETE), {string.Join(", ", inTheWay.Select(replay => replay.Shown.Address))}."
            );
    }

    private static Ok<ReplayList> List(Replays replays) =>
        TypedResults.Ok(new ReplayList([.. replays.All.Select(replay => replay.Shown)]));

    private static Results<Ok<ReplayAnswer>, ServerSentEventsResult<ReplayAnswer?>, ProblemHttpResult> Show(
        string replay,
        HttpContext context,
        Replays replays,
        CancellationToken cancellationToken
    )
    {
        if (Find(replays, replay) is not { } found)
            return Unknown(replay);
        context.Response.Headers.Vary = "Accept";
        // The hub's own stop needs no part in the token: it ends the replay, and the last event tells of it.
        return context.Request.Headers.Accept.Any(accept => accept?.Contains(EventStream) == true)
            ? TypedResults.ServerSentEvents(found.FollowAsync(cancellationToken))
            : TypedResults.Ok(found.Shown);
    }

    private static async Task<Results<Ok<ReplayAnswer>, ProblemHttpResult>> CancelAsync(
        string replay,
        Replays replays,
        CancellationToken cancellationToken
    )
    {
        if (Find(replays, replay) is not { } found)
            return Unknown(replay);
        if (!found.IsRunning)
            return Over(found);
        await found.CancelAsync();
        await found.Ended.WaitAsync(cancellationToken);
        return found.Shown.State == Replay.Cancelled ? TypedResults.Ok(found.Shown) : Over(found);
    }

    private static Replay? Find(Replays replays, string id) =>
        long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number)
            ? replays.Find(number)
            : null;

    private static ProblemHttpResult Unknown(string id) =>
        Refusal.NotFound(
            $"There is no replay \"{id}\".",
            $"GET /api/replays lists them; those that are over are kept for {Replays.OverKeptFor.TotalHours} hours at most and until the hub stops."
        );

    private static ProblemHttpResult Over(Replay replay) =>
        Refusal.Conflict(
            $"The replay is over: {replay.Shown.State}.",
            $"There is nothing to cancel; {replay.Shown.Address} says what came of it."
        );

    private static ProblemHttpResult Refused(string title, string whatToDo) =>
        TypedResults.Problem(whatToDo, statusCode: StatusCodes.Status400BadRequest, title: title);
}
