using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Live;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Storage;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Pits and tanks: what is in them and what was drawn.</summary>
internal static class PitEndpoints
{
    public static void MapPits(this RouteGroupBuilder api)
    {
        var pits = api.MapGroup("/farms/{farm}/pits")
            .WithTags("Pits")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
        pits.MapGet("", PitsAsync).WithSummary("Pits with newest levels and volume drawn in a season");
        pits.MapGet("/{pit}/inventory", InventoryAsync).WithSummary("Hourly levels of a pit and volume drawn");
    }

    private static async Task<Results<Ok<PitList>, ProblemHttpResult>> PitsAsync(
        string farm,
        string? season,
        string? asOf,
        FarmQuery farms,
        SheetQuery sheets,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.LinesAsync(farm, season, asOf, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var snapshot = result.Value;
        var pits = await sheets.PitsAsync(snapshot, QueryParameters.Position(asOf), cancellationToken);
        return TypedResults.Ok(new PitList(farm, snapshot.Season, snapshot.View.Position, pits));
    }

    private static async Task<Results<Ok<InventoryResponse>, ProblemHttpResult>> InventoryAsync(
        string farm,
        string pit,
        string? from,
        string? to,
        string? asOf,
        FarmQuery farms,
        LedgerReader ledgers,
        CancellationToken cancellationToken
    )
    {
        if ((QueryParameters.BadMoment("from", from) ?? QueryParameters.BadMoment("to", to)) is { } badMoment)
            return badMoment;
        var result = await farms.FarmAsync(farm, asOf, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var configuration = result.Value.Configuration;
        if (configuration.Pit(pit) is not { } known)
            return ApiProblem.Unknown("pit", pit, farm, configuration.Pits.Select(other => other.PitId));

        var (first, last, position) = (
            QueryParameters.Moment(from),
            QueryParameters.Moment(to),
            QueryParameters.Position(asOf)
        );
        var levels = await ledgers.LevelsAsync(farm, pit, first, last, position, cancellationToken);
        var view = await ledgers.LinesAsync(farm, null, position, cancellationToken);
        var inventory = PitInventory.Of(configuration, known, levels, PitMapping.Between(view.Lines, first, last));
        return TypedResults.Ok(
            new InventoryResponse(
                farm,
                first,
                last,
                view.Position,
                PitMapping.Pit(known, inventory),
                [.. inventory.Levels.Select(PitMapping.Level)]
            )
        );
    }
}
