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
    public static void MapDevices(this RouteGroupBuilder farm) =>
        farm.MapGet("/devices", DevicesAsync)
            .WithSummary("Devices, when last heard, and missing readings")
            .WithTags("Devices");

    private static async Task<Ok<DeviceList>> DevicesAsync(
        string farm,
        RequestedFarm requested,
        DeviceReader deviceReader,
        CancellationToken cancellationToken
    )
    {
        var devices = await deviceReader.DevicesAsync(farm, cancellationToken);
        return TypedResults.Ok(
            new DeviceList(farm, [.. devices.Select(device => DeviceMapping.Device(device, requested.Configuration))])
        );
    }
}
