using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Store;

namespace NutrientLedger.Intake.Marks;

/// <summary>
/// Tells each machine how far its readings are stored, at most once a <see cref="IntakeLimits.MarkEvery"/> and always the last. The
/// marks are read from the rows of numbers seen, so they are right after a restart and with several hubs too.
/// </summary>
internal sealed class StoredTelling(
    StoredNotices notices,
    IJournal journal,
    IStoredLine line,
    IntakeLimits limits,
    TimeProvider clock,
    ILogger<StoredTelling> logger
) : BackgroundService
{
    private readonly IntakeLog log = new(logger);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
            try
            {
                await notices.MovedAsync(stoppingToken);
                await TellAsync(notices.Take(), stoppingToken);
                await Task.Delay(limits.MarkEvery, clock, stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
    }

    private async Task TellAsync(IReadOnlyCollection<FarmDevice> devices, CancellationToken stop)
    {
        var untold = devices.ToHashSet();
        try
        {
            var marks = await journal.MarksAsync(devices, stop);
            foreach (var own in marks.GroupBy(mark => mark.Device))
                if (await line.TellAsync(own.Key, StoredNotices.Message(own.Key, own, clock.GetUtcNow()), stop))
                    untold.Remove(own.Key);
        }
        catch (Exception trouble) when (!stop.IsCancellationRequested)
        {
            // Nothing depends on this moment: what could not be told is told next time.
            log.MarksSilent(trouble.Message);
        }
        foreach (var device in untold)
            notices.Note(device);
    }
}
