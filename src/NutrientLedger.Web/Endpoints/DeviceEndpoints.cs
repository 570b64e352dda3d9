using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Senders of readings and how they fare.</summary>
internal static class DeviceEndpoints
{
    public static void MapDevices(this RouteGroupBuilder api)
    {
        api.MapGet("/farms/{farm}/devices", DevicesAsync)
            .WithSummary("Devices, when last heard, and missing readings")
            .WithTags("Devices")
            .ProducesProblem(StatusCodes.Status404NotFound);
    }

    private static async Task<Results<Ok<DeviceList>, ProblemHttpResult>> DevicesAsync(
        string farm,
        FarmQuery farms,
        DeviceReader deviceReader,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var devices = await deviceReader.DevicesAsync(farm, cancellationToken);
        return TypedResults.Ok(
            new DeviceList(
                farm,
                [.. devices.Select(device => DeviceMapping.Device(device, result.Value.Configuration))]
            )
        );
    }
}
