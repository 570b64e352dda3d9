using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Senders of readings and how they fare.</summary>
internal static class DeviceEndpoints
{
    public static void MapDevices(this RouteGroupBuilder api)
    {
        api.MapGet("/farms/{farm}/devices", DevicesAsync)
            .WithSummary("Who has sent readings, when last, and which numbers are missing")
            .WithTags("Devices")
            .ProducesProblem(StatusCodes.Status404NotFound);
    }

    private static async Task<Results<Ok<DeviceList>, ProblemHttpResult>> DevicesAsync(
        string farm,
        FarmInquiry farms,
        DeviceReader senders,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var devices = await senders.DevicesAsync(farm, cancellationToken);
        return TypedResults.Ok(
            new DeviceList(farm, [.. devices.Select(device => DeviceBook.Device(device, asked.Found.Register))])
        );
    }
}
