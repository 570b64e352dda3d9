using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Devices, when they were last heard, their gaps, and whether one was replaced.</summary>
internal static class DeviceEndpoints
{
    public static void MapDevices(this RouteGroupBuilder farm)
    {
        var devices = farm.MapGroup("/devices").WithTags("Devices");
        devices.MapGet("", DevicesAsync).WithSummary("Devices, when last heard, and missing readings");
        devices
            .MapPost("/{equipment}/replaced", ReplacedAsync)
            .WithSummary("Say that a new device counts anew under an old name, and store its messages that wait")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status409Conflict);
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
            new DeviceList(farm, [.. devices.Select(device => DeviceMapping.Device(farm, device, interruptions))])
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

    private static Task<Results<Ok<DeviceReplacedResponse>, ProblemHttpResult>> ReplacedAsync(
        string farm,
        string equipment,
        DeviceReplacedRequest request,
        RequestedFarm requested,
        DeviceReplacementHandler handler,
        CancellationToken cancellationToken
    ) => handler.ReplaceAsync(requested.Snapshot, equipment, request, cancellationToken);
}
