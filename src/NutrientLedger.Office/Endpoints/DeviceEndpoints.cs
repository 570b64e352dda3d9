using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Senders of readings, and messages that could not be read.</summary>
internal static class DeviceEndpoints
{
    private const int RefusedUsual = 100;
    private const int RefusedMost = 1000;

    public static void MapDevices(this RouteGroupBuilder api)
    {
        api.MapGet("/farms/{farm}/devices", DevicesAsync)
            .WithSummary("Who has sent readings, when last, and which numbers are missing")
            .WithTags("Devices")
            .ProducesProblem(StatusCodes.Status404NotFound);
        api.MapGet("/refused", RefusedAsync)
            .WithSummary("Messages that could not be read, newest first, with the reason")
            .WithTags("Devices")
            .ProducesProblem(StatusCodes.Status400BadRequest);
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
        return TypedResults.Ok(new DeviceList(farm, [.. devices.Select(DeviceBook.Device)]));
    }

    private static async Task<Results<Ok<RefusedList>, ProblemHttpResult>> RefusedAsync(
        string? most,
        DeviceReader senders,
        CancellationToken cancellationToken
    )
    {
        var count = RefusedUsual;
        if (most is not null && (!int.TryParse(most, out count) || count is < 1 or > RefusedMost))
            return Refusal.BadValue("most", most, $"It is how many to list: a whole number from 1 to {RefusedMost}.");
        var refused = await senders.RefusedAsync(count, cancellationToken);
        return TypedResults.Ok(
            new RefusedList([
                .. refused.Select(message => new RefusedAnswer(
                    message.Id,
                    message.RecordedAt,
                    message.Topic,
                    message.Bytes,
                    message.Reason
                )),
            ])
        );
    }
}
