using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Pits and tanks: what is in them and what was drawn.</summary>
internal static class PitEndpoints
{
    public static void MapPits(this RouteGroupBuilder api)
    {
        var pits = api.MapGroup("/farms/{farm}/pits")
            .WithTags("Pits")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
        pits.MapGet("", PitsAsync)
            .WithSummary("The pits of a farm with their newest levels and what was drawn in a season");
        pits.MapGet("/{pit}/inventory", InventoryAsync)
            .WithSummary("The levels of a pit hour by hour and what was drawn meanwhile");
    }

    private static async Task<Results<Ok<PitList>, ProblemHttpResult>> PitsAsync(
        string farm,
        string? season,
        string? asOf,
        FarmInquiry farms,
        SheetInquiry sheets,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.LinesAsync(farm, season, asOf, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var standing = asked.Found;
        var pits = await sheets.PitsAsync(standing, Question.Position(asOf), cancellationToken);
        return TypedResults.Ok(new PitList(farm, standing.Season, standing.View.Position, pits));
    }

    private static async Task<Results<Ok<InventoryAnswer>, ProblemHttpResult>> InventoryAsync(
        string farm,
        string pit,
        string? from,
        string? to,
        string? asOf,
        FarmInquiry farms,
        LedgerReader ledgers,
        CancellationToken cancellationToken
    )
    {
        if ((Question.BadMoment("from", from) ?? Question.BadMoment("to", to)) is { } badMoment)
            return badMoment;
        var asked = await farms.FarmAsync(farm, asOf, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var register = asked.Found.Register;
        if (register.Pit(pit) is not { } known)
            return Refusal.Unknown("pit", pit, farm, register.Pits.Select(other => other.PitId));

        var (first, last, position) = (Question.Moment(from), Question.Moment(to), Question.Position(asOf));
        var levels = await ledgers.LevelsAsync(farm, pit, first, last, position, cancellationToken);
        var view = await ledgers.LinesAsync(farm, null, position, cancellationToken);
        var inventory = PitInventory.Of(register, known, levels, PitBook.Between(view.Lines, first, last));
        return TypedResults.Ok(
            new InventoryAnswer(
                farm,
                first,
                last,
                view.Position,
                PitBook.Pit(known, inventory),
                [.. inventory.Levels.Select(PitBook.Level)]
            )
        );
    }
}
