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

namespace NutrientLedger.Web.Endpoints;

/// <summary>Farms and their configuration.</summary>
internal static class FarmEndpoints
{
    public static void MapFarms(this RouteGroupBuilder api) =>
        api.MapGet("/farms", FarmsAsync).WithSummary("All farms of this hub").WithTags("Farms");

    public static void MapConfiguration(this RouteGroupBuilder farm) =>
        farm.MapGet("/configuration", Configuration)
            .WithSummary("All configuration events of a farm, oldest first")
            .WithTags("Configuration")
            .ProducesProblem(StatusCodes.Status400BadRequest);

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

    private static Ok<ConfigurationResponse> Configuration(string farm, string? asOf, RequestedFarm requested) =>
        TypedResults.Ok(new ConfigurationResponse(farm, requested.AsOf, [.. requested.Snapshot.Events.Select(Event)]));

    private static ConfigurationEventResponse Event(RecordedEvent recorded) =>
        new(
            recorded.Position,
            recorded.RecordedAt,
            EventTypes.NameOf(recorded.Event),
            JsonSerializer.SerializeToElement(recorded.Event, recorded.Event.GetType(), EventJson.Options)
        );
}
