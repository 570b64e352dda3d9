using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.Hosting;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Live;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Endpoints;

/// <summary>The live stream: the farm's whole data at once, and again whenever its ledger changes.</summary>
internal static class LiveEndpoints
{
    public static void MapLive(this RouteGroupBuilder api) =>
        api.MapGet("/live", LiveAsync)
            .WithSummary(
                "Server-sent events: \"sheet\" with all values of the farm, \"heartbeat\" when nothing changed"
            )
            .WithTags("Live")
            .ProducesProblem(StatusCodes.Status404NotFound);

    private static async Task<Results<ServerSentEventsResult<SheetResponse?>, ProblemHttpResult>> LiveAsync(
        string? farm,
        string? season,
        FarmQuery farms,
        SheetStream stream,
        IHostApplicationLifetime lifetime,
        CancellationToken cancellationToken
    )
    {
        if (QueryParameters.BadSeason(season) is { } badSeason)
            return badSeason;
        var result = await farms.FarmAsync(farm ?? "", asOf: null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        return TypedResults.ServerSentEvents(UntilStoppedAsync(farm!, season, stream, lifetime, cancellationToken));
    }

    /// <summary>Also ends when the hub stops. Otherwise stopping would wait half a minute for open pages.</summary>
    private static async IAsyncEnumerable<SseItem<SheetResponse?>> UntilStoppedAsync(
        string farm,
        string? season,
        SheetStream stream,
        IHostApplicationLifetime lifetime,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        using var either = CancellationTokenSource.CreateLinkedTokenSource(
            cancellationToken,
            lifetime.ApplicationStopping
        );
        await foreach (var sheet in stream.FollowAsync(farm, season, either.Token))
            yield return sheet is null ? new(null, "heartbeat") : new(sheet, "sheet") { EventId = $"{sheet.Position}" };
    }
}
