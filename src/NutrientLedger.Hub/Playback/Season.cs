namespace NutrientLedger.Hub.Playback;

/// <summary>All senders of the recorded season, played side by side.</summary>
public sealed class Season(IReadOnlyList<Sender> senders, TimeProvider time)
{
    /// <summary>Messages acknowledged so far by all senders.</summary>
    public long Acknowledged => senders.Sum(sender => sender.Acknowledged);

    /// <summary>A season of the recorded streams, each sender with its bookmark in the given folder.</summary>
    public static Season Of(string streamsFolder, string bookmarkFolder, int mqttPort, TimeProvider time) =>
        new(
            [
                .. DemoStreams
                    .Senders(streamsFolder)
                    .Select(sender => new Sender(
                        sender.Sender,
                        sender.Files,
                        mqttPort,
                        new(Path.Combine(bookmarkFolder, $"{sender.Sender}.sent")),
                        time
                    )),
            ],
            time
        );

    /// <summary>
    /// Plays what is left of the season; without a speed as fast as it is stored, else so many times faster than it was
    /// recorded. Returns the number of messages that were left to send.
    /// </summary>
    public async Task<int> PlayAsync(double? speed, CancellationToken cancellationToken)
    {
        var remaining = 0;
        var workTimes = new List<long>();
        foreach (var sender in senders)
        await foreach (var message in sender.RemainingAsync())
        {
            remaining++;
            if (message.Topic.EndsWith("/spread", StringComparison.Ordinal))
                workTimes.Add(message.SendAtMilliseconds);
        }
        var pace = speed is { } times ? new Pace(time, times, workTimes) : null;
        await Task.WhenAll(senders.Select(sender => sender.PlayAsync(pace, cancellationToken)));
        return remaining;
    }
}
