using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Devices, when they were last heard, and their gaps.</summary>
internal static class DeviceEndpoints
{
    public static void MapDevices(this RouteGroupBuilder farm)
    {
        farm.MapGet("/devices", DevicesAsync)
            .WithSummary("Devices, when last heard, and missing readings")
            .WithTags("Devices");
        farm.MapGet("/interruptions", InterruptionsAsync)
            .WithSummary("What meters counted between readings that were received")
            .WithTags("Devices");
    }

    private static async Task<Ok<DeviceList>> DevicesAsync(
        string farm,
        RequestedFarm requested,
        DeviceReader deviceReader,
        InterruptionQuery meters,
        CancellationToken cancellationToken
    )
    {
        var devices = await deviceReader.DevicesAsync(farm, cancellationToken);
        var interruptions = await meters.NowAsync(farm, requested.Configuration, cancellationToken);
        return TypedResults.Ok(
            new DeviceList(farm, [.. devices.Select(device => DeviceMapping.Device(device, interruptions))])
        );
    }

    private static async Task<Ok<InterruptionList>> InterruptionsAsync(
        string farm,
        RequestedFarm requested,
        InterruptionQuery meters,
        CancellationToken cancellationToken
    ) =>
        TypedResults.Ok(
            InterruptionMapping.List(
                farm,
                requested.Configuration,
                await meters.NowAsync(farm, requested.Configuration, cancellationToken)
            )
        );
}
