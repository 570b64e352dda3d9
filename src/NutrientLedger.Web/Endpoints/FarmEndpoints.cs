using System.Globalization;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Farms and their registers.</summary>
internal static class FarmEndpoints
{
    public static void MapFarms(this RouteGroupBuilder api)
    {
        api.MapGet("/farms", FarmsAsync).WithSummary("All farms of this hub").WithTags("Farms");
        api.MapGet("/farms/{farm}/configuration", ConfigurationAsync)
            .WithSummary("All configuration events of a farm, oldest first")
            .WithTags("Register")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
    }

    private static async Task<Ok<FarmList>> FarmsAsync(
        ConfigurationStore configurations,
        CancellationToken cancellationToken
    )
    {
        var farms = new List<FarmResponse>();
        foreach (var id in await configurations.FarmsAsync(cancellationToken))
            if (
                (await configurations.ReadAsync(id, null, cancellationToken)).Configuration is
                { Farm: { } farm } configuration
            )
                farms.Add(
                    new(
                        id,
                        farm.Name,
                        farm.TimeZone,
                        string.Create(
                            CultureInfo.InvariantCulture,
                            $"{farm.SeasonFirstMonth:00}-{farm.SeasonFirstDay:00}"
                        ),
                        farm.LedgerBegins,
                        [.. configuration.Plans.Select(plan => plan.Season).Distinct().Order()]
                    )
                );
        return TypedResults.Ok(new FarmList(farms));
    }

    private static async Task<Results<Ok<ConfigurationResponse>, ProblemHttpResult>> ConfigurationAsync(
        string farm,
        string? asOf,
        FarmQuery farms,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, asOf, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        return TypedResults.Ok(
            new ConfigurationResponse(farm, QueryParameters.Position(asOf), [.. result.Value.Events.Select(Event)])
        );
    }

    private static ConfigurationEventResponse Event(RecordedEvent recorded) =>
        new(
            recorded.Position,
            recorded.RecordedAt,
            EventTypes.NameOf(recorded.Event),
            JsonSerializer.SerializeToElement(recorded.Event, recorded.Event.GetType(), EventJson.Options)
        );
}
