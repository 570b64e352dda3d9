using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Ingestion.Watermarks;

/// <summary>
/// Publishes to each device how far its readings are stored. This happens at most once per
/// <see cref="IngestionLimits.WatermarkInterval"/>, and the latest watermark is always sent. Watermarks come from the
/// table of received ranges, so they are right after a restart and with several hubs.
/// </summary>
internal sealed class WatermarkService(
    PendingWatermarks pending,
    IJournal journal,
    IWatermarkPublisher publisher,
    IngestionLimits limits,
    TimeProvider clock,
    ILogger<WatermarkService> logger
) : BackgroundService
{
    private readonly IngestionLog log = new(logger);
    private string? lastError;

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
            try
            {
                await pending.AnyAsync(stoppingToken);
                await PublishAsync(pending.Take(), stoppingToken);
                await Task.Delay(limits.WatermarkInterval, clock, stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
    }

    private async Task PublishAsync(IReadOnlyCollection<FarmDevice> devices, CancellationToken stop)
    {
        var unpublished = devices.ToHashSet();
        try
        {
            var watermarks = (await journal.WatermarksAsync(devices, stop)).ToLookup(watermark => watermark.Device);
            foreach (var device in devices)
                if (
                    await publisher.PublishAsync(
                        device,
                        PendingWatermarks.Message(device, [.. watermarks[device]], clock.GetUtcNow()),
                        stop
                    )
                )
                    unpublished.Remove(device);
            lastError = null;
        }
        catch (Exception error) when (!stop.IsCancellationRequested)
        {
            // Nothing depends on this moment. What could not be published is published next time.
            if (lastError != error.Message && !DatabaseErrors.IsAway(error))
                log.WatermarksFailed(error.Message);
            lastError = error.Message;
        }
        foreach (var device in unpublished)
            pending.Add(device);
    }
}
