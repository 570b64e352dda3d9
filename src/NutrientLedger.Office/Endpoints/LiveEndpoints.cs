using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.Hosting;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Office.Live;

namespace NutrientLedger.Office.Endpoints;

/// <summary>The live stream: a farm's whole sheet at once, and again whenever its ledger has moved on.</summary>
internal static class LiveEndpoints
{
    public static void MapLive(this RouteGroupBuilder api) =>
        api.MapGet("/live", LiveAsync)
            .WithSummary("Server-sent events: \"sheet\" with the whole sheet of a farm, \"still\" when nothing changed")
            .WithTags("Live")
            .ProducesProblem(StatusCodes.Status404NotFound);

    private static async Task<Results<ServerSentEventsResult<SheetAnswer?>, ProblemHttpResult>> LiveAsync(
        string? farm,
        string? season,
        FarmInquiry farms,
        SheetStream stream,
        IHostApplicationLifetime lifetime,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.LinesAsync(farm ?? "", season, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        return TypedResults.ServerSentEvents(UntilStoppedAsync(farm!, season, stream, lifetime, cancellationToken));
    }

    /// <summary>Without the hub's own stop in the token, every stop would wait half a minute for open pages.</summary>
    private static async IAsyncEnumerable<SseItem<SheetAnswer?>> UntilStoppedAsync(
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
            yield return sheet is null ? new(null, "still") : new(sheet, "sheet") { EventId = $"{sheet.Position}" };
    }
}
