namespace NutrientLedger.Demo;

/// <summary>All devices of the recorded season, played in parallel.</summary>
public sealed class SeasonPlayback(IReadOnlyList<DevicePlayback> devices, TimeProvider time)
{
    private volatile Pace? pace;

    /// <summary>Messages of all devices acknowledged so far.</summary>
    public long Acknowledged => devices.Sum(device => device.Acknowledged);

    /// <summary>The recorded time up to which the season is played; null unless it plays at a pace.</summary>
    public DateTimeOffset? PlayedUntil =>
        pace?.ReachedMilliseconds is { } reached and > 0 ? DateTimeOffset.FromUnixTimeMilliseconds(reached) : null;

    /// <summary>A season of recorded streams. Each device has its bookmark in the given folder.</summary>
    public static SeasonPlayback Of(string streamsFolder, string bookmarkFolder, int mqttPort, TimeProvider time) =>
        new(
            [
                .. DemoStreams
                    .Devices(streamsFolder)
                    .Select(device => new DevicePlayback(
                        device.Device,
                        device.Files,
                        mqttPort,
                        new(Path.Combine(bookmarkFolder, $"{device.Device}.sent")),
                        time
                    )),
            ],
            time
        );

    /// <summary>
    /// Plays the rest of the season, at a multiple of real time or, without a speed, as fast as the hub stores. Returns
    /// the number of messages that were left to send.
    /// </summary>
    public async Task<int> PlayAsync(double? speed, CancellationToken cancellationToken)
    {
        var remaining = 0;
        var workTimes = new List<long>();
        foreach (var device in devices)
        await foreach (var message in device.RemainingAsync())
        {
            remaining++;
            if (message.Topic.EndsWith("/spread", StringComparison.Ordinal))
                workTimes.Add(message.SendAtMilliseconds);
        }
        var own = speed is { } times && remaining > 0 ? new Pace(time, times, workTimes) : null;
        pace = own;
        await Task.WhenAll(devices.Select(device => device.PlayAsync(own, cancellationToken)));
        pace = null;
        return remaining;
    }
}
