using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Live;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Storage;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Pits and tanks: levels, contents and draws.</summary>
internal static class PitEndpoints
{
    public static void MapPits(this RouteGroupBuilder farm)
    {
        var pits = farm.MapGroup("/pits").WithTags("Pits").ProducesProblem(StatusCodes.Status400BadRequest);
        pits.MapGet("", PitsAsync).WithSummary("Pits with newest levels and volume drawn in a season");
        pits.MapGet("/{pit}/inventory", InventoryAsync).WithSummary("Hourly levels of a pit and volume drawn");
    }

    private static async Task<Results<Ok<PitList>, ProblemHttpResult>> PitsAsync(
        string farm,
        string? season,
        string? asOf,
        RequestedFarm requested,
        SeasonQuery seasons,
        SheetQuery sheets,
        InterruptionQuery meters,
        CancellationToken cancellationToken
    )
    {
        var result = await seasons.LinesAsync(requested.Snapshot, requested.AsOf, season, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var snapshot = result.Value;
        var (configuration, position) = (requested.Configuration, requested.AsOf);
        var interruptions = await meters.AskAsync(farm, configuration, position, cancellationToken);
        var pits = await sheets.PitsAsync(snapshot, interruptions, position, cancellationToken);
        return TypedResults.Ok(new PitList(farm, snapshot.Season, snapshot.View.Position, pits));
    }

    private static async Task<Results<Ok<InventoryResponse>, ProblemHttpResult>> InventoryAsync(
        string farm,
        string pit,
        string? from,
        string? to,
        string? asOf,
        RequestedFarm requested,
        LedgerReader ledgers,
        InterruptionQuery meters,
        CancellationToken cancellationToken
    )
    {
        if ((QueryParameters.BadMoment("from", from) ?? QueryParameters.BadMoment("to", to)) is { } badMoment)
            return badMoment;
        var configuration = requested.Configuration;
        if (configuration.Pit(pit) is not { } known)
            return ApiProblem.Unknown("pit", pit, farm, configuration.Pits.Select(other => other.PitId));

        var (first, last, position) = (QueryParameters.Moment(from), QueryParameters.Moment(to), requested.AsOf);
        var levels = await ledgers.LevelsAsync(farm, pit, first, last, position, cancellationToken);
        var view = await ledgers.LinesAsync(farm, Seasons(configuration, first, last), position, cancellationToken);
        var interruptions = await meters.AskAsync(farm, configuration, position, cancellationToken);
        var inventory = PitInventory.Of(
            configuration,
            known,
            levels,
            LinesInTime.Between(view.Lines, first, last),
            interruptions is null ? null : MeteredBetween.FromPit(interruptions, pit, first, last)
        );
        return TypedResults.Ok(
            new InventoryResponse(
                farm,
                first,
                last,
                view.Position,
                PitMapping.Pit(known, inventory, view.UnpostedBatches),
                [.. inventory.Levels.Select(PitMapping.Level)]
            )
        );
    }

    private static SeasonRange Seasons(FarmConfiguration configuration, DateTimeOffset? first, DateTimeOffset? last)
    {
        return configuration.Calendar is { } calendar
            ? new(At(first, SeasonRange.All.First), At(last, SeasonRange.All.Last))
            : SeasonRange.All;

        // Readings lie between 1990 and 2100, and a day beside the last year cannot be reckoned.
        int At(DateTimeOffset? moment, int open) =>
            moment is { Year: > 1980 and < 2200 } known ? calendar.SeasonAt(known.ToUnixTimeMilliseconds()) : open;
    }
}
