using System.Globalization;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Messages that could not be taken: listed, shown, offered again after a fix, or closed with a reason.</summary>
internal static class RefusedEndpoints
{
    private const int UsualCount = 100;
    private const int MostCount = 1000;
    private const int WordsMax = 500;

    public static void MapRefused(this RouteGroupBuilder api)
    {
        var refused = api.MapGroup("/refused").WithTags("Refused messages");
        refused
            .MapGet("", ListAsync)
            .WithSummary("Messages that could not be taken, newest first, with the reason")
            .ProducesProblem(StatusCodes.Status400BadRequest);
        refused
            .MapGet("/{id}", ShowAsync)
            .WithSummary("One refused message with its bytes")
            .ProducesProblem(StatusCodes.Status404NotFound);
        refused
            .MapPost("/{id}/offer", OfferAsync)
            .WithSummary("Reads a refused message again, as if it had just arrived, and tells what became of it")
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
        refused
            .MapPost("/offer", OfferAllAsync)
            .WithSummary("Offers all open messages of a farm again, for example after its farm file was imported")
            .ProducesProblem(StatusCodes.Status400BadRequest);
        refused
            .MapPost("/{id}/close", CloseAsync)
            .WithSummary("Closes a refused message that will not be mended, with a reason and who says so")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
    }

    private static async Task<Results<Ok<RefusedPage>, ProblemHttpResult>> ListAsync(
        string? farm,
        string? state,
        string? before,
        string? most,
        RefusedList list,
        CancellationToken cancellationToken
    )
    {
        var count = UsualCount;
        if (
            most is not null
            && (!int.TryParse(most, CultureInfo.InvariantCulture, out count) || count is < 1 or > MostCount)
        )
            return Refusal.BadValue("most", most, $"It is how many to list: a whole number from 1 to {MostCount}.");
        if (before is not null && NumberOf(before) is null)
            return Refusal.BadValue(
                "before",
                before,
                "It is the number of a message; those with lower numbers are listed."
            );
        RefusedState? asked = Enum.GetValues<RefusedState>()
            .Where(one => RefusedBook.Word(one) == state)
            .Select(one => (RefusedState?)one)
            .FirstOrDefault();
        if (state is not null && asked is null)
            return Refusal.BadValue("state", state, "It is open, stored or closed. Leave it out for all.");
        var question = new RefusedQuestion(farm, asked, before is null ? null : NumberOf(before), count);
        var listed = await list.ListAsync(question, cancellationToken);
        var notKept = await list.NotKeptAsync(farm, cancellationToken);
        return TypedResults.Ok(
            new RefusedPage(
                [.. listed.Select(RefusedBook.Message)],
                listed.Count == count ? listed[^1].Id : null,
                [.. notKept.Select(RefusedBook.NotKept)]
            )
        );
    }

    private static async Task<Results<Ok<RefusedWholeAnswer>, ProblemHttpResult>> ShowAsync(
        string id,
        RefusedList list,
        CancellationToken cancellationToken
    )
    {
        var found = await FindAsync(id, list, cancellationToken);
        return found.IsRefused ? found.Refusal : TypedResults.Ok(RefusedBook.Whole(found.Found));
    }

    private static async Task<Results<Ok<OfferedAnswer>, ProblemHttpResult>> OfferAsync(
        string id,
        RefusedList list,
        [FromServices] RefusedOffer offer,
        CancellationToken cancellationToken
    )
    {
        var found = await FindAsync(id, list, cancellationToken);
        if (found.IsRefused)
            return found.Refusal;
        if (NotOpen(found.Found.Listing) is { } conflict)
            return conflict;
        return TypedResults.Ok(await offer.OneAsync(found.Found, cancellationToken));
    }

    private static async Task<Results<Ok<AllOfferedAnswer>, ProblemHttpResult>> OfferAllAsync(
        string? farm,
        [FromServices] RefusedOffer offer,
        CancellationToken cancellationToken
    ) =>
        string.IsNullOrEmpty(farm)
            ? Refusal.BadValue("farm", farm ?? "", "Name the farm whose open messages are to be offered: ?farm=…")
            : TypedResults.Ok(await offer.AllAsync(farm, cancellationToken));

    private static async Task<Results<Ok<RefusedAnswer>, ProblemHttpResult>> CloseAsync(
        string id,
        ClosingRequest closing,
        RefusedList list,
        CancellationToken cancellationToken
    )
    {
        if (!IsSaid(closing.By))
            return Refusal.BadValue(
                "by",
                closing.By ?? "",
                $"Say who closes the message, in at most {WordsMax} characters."
            );
        if (!IsSaid(closing.Because))
            return Refusal.BadValue("because", closing.Because ?? "", $"Say why, in at most {WordsMax} characters.");
        var found = await FindAsync(id, list, cancellationToken);
        if (found.IsRefused)
            return found.Refusal;
        var number = found.Found.Listing.Id;
        var closed = await list.CloseAsync(number, closing.By!, closing.Because!, cancellationToken);
        var now = (await list.ReadAsync(number, cancellationToken))?.Listing ?? found.Found.Listing;
        return !closed && NotOpen(now) is { } conflict ? conflict : TypedResults.Ok(RefusedBook.Message(now));
    }

    private static async Task<Asked<RefusedWhole>> FindAsync(
        string id,
        RefusedList list,
        CancellationToken cancellationToken
    ) =>
        NumberOf(id) is { } number && await list.ReadAsync(number, cancellationToken) is { } message
            ? message
            : Refusal.NotFound(
                $"There is no refused message \"{id}\".",
                "GET /api/refused lists those that there are."
            );

    private static ProblemHttpResult? NotOpen(RefusedListing listed) =>
        listed.State switch
        {
            RefusedState.Stored => Refusal.Settled(
                $"Message {listed.Id} is in the journal already; it was offered again."
            ),
            RefusedState.Closed => Refusal.Settled(
                $"Message {listed.Id} was closed by {listed.ClosedBy}: {listed.ClosedBecause}"
            ),
            _ => null,
        };

    private static bool IsSaid(string? words) => !string.IsNullOrWhiteSpace(words) && words.Length <= WordsMax;

    private static long? NumberOf(string id) =>
        long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : null;
}
