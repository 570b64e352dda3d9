using System.Diagnostics;
using MQTTnet;

namespace NutrientLedger.Benchmarks;

/// <summary>A device that sends what it measures now: driven readings of one boot, at even steps of time.</summary>
internal sealed class LiveDevice(SeasonFarm farm, int applicator, int readingsAMessage, int stepMs)
{
    private const int PauseMs = 3000;

    private static long boots;

    private readonly IEnumerator<DrivenReading> readings = new SpreadingDrive(
        applicator,
        farm.FieldsOf(applicator),
        stepMs / 1000.0
    )
        .Readings()
        .GetEnumerator();
    private readonly long boot = Interlocked.Increment(ref boots);
    private long seq = 1;
    private long nextMs;

    public string Topic => farm.Topic(applicator);

    /// <summary>The next message. Times go on evenly, and jump to now after a pause.</summary>
    public byte[] Next(long nowMs)
    {
        var message = new DrivenReading[readingsAMessage];
        for (var i = 0; i < message.Length; i++)
        {
            readings.MoveNext();
            message[i] = readings.Current;
        }
        var first = nextMs < nowMs - PauseMs ? nowMs - (readingsAMessage * stepMs) : nextMs;
        var payload = DriveMessages.Spread(message, boot, seq, first, stepMs);
        seq += readingsAMessage;
        nextMs = first + (readingsAMessage * stepMs);
        return payload;
    }
}

/// <summary>What a window of steady traffic cost. Times until messages were acknowledged are in ms.</summary>
internal sealed record TrafficCost(Cpu Cpu, double Seconds, IReadOnlyList<double> Acknowledged)
{
    public double Cores => Cpu.Both / Seconds;

    /// <summary>The time that this share of the messages did not exceed.</summary>
    public double At(double share) => Acknowledged[(int)(share * (Acknowledged.Count - 1))];
}

/// <summary>Devices of one hub that send one message after the other, at an even rate over all.</summary>
internal sealed class SteadyTraffic(VersionHub hub, IReadOnlyList<LiveDevice> devices, int messagesPerSecond)
{
    /// <summary>
    /// One device for each given applicator of a farm. The step of time is such that the rate is that of live work.
    /// </summary>
    public static SteadyTraffic Of(
        VersionHub hub,
        IReadOnlyList<(SeasonFarm Farm, int Applicator)> applicators,
        int messagesPerSecond,
        int readingsAMessage
    )
    {
        var step = 1000 * applicators.Count / (messagesPerSecond * readingsAMessage);
        var devices = applicators.Select(one => new LiveDevice(one.Farm, one.Applicator, readingsAMessage, step));
        return new(hub, [.. devices], messagesPerSecond);
    }

    /// <summary>Sends for a time and waits until all is acknowledged.</summary>
    public async Task<TrafficCost> RunAsync(TimeSpan duration)
    {
        var clients = await Task.WhenAll(devices.Select(device => Devices.ConnectAsync(hub.MqttPort, device.Topic)));
        var before = hub.Cpu;
        var begin = Stopwatch.GetTimestamp();
        var sends = new List<Task<double>>();
        for (var i = 0; i % devices.Count != 0 || Stopwatch.GetElapsedTime(begin) < duration; i++)
        {
            var due = TimeSpan.FromSeconds((double)i / messagesPerSecond) - Stopwatch.GetElapsedTime(begin);
            if (due > TimeSpan.Zero)
                await Task.Delay(due);
            sends.Add(SendAsync(clients[i % devices.Count], devices[i % devices.Count]));
        }
        double[] times = [.. (await Task.WhenAll(sends)).Order()];
        var cost = new TrafficCost(hub.Cpu - before, Stopwatch.GetElapsedTime(begin).TotalSeconds, times);
        foreach (var client in clients)
            client.Dispose();
        return cost;
    }

    /// <summary>
    /// All devices send a message at the same moment, so many times, a second apart. Returns the processor seconds
    /// until all is posted, for each message.
    /// </summary>
    public async Task<double> TogetherAsync(int times)
    {
        var clients = await Task.WhenAll(devices.Select(device => Devices.ConnectAsync(hub.MqttPort, device.Topic)));
        var before = hub.Cpu;
        for (var i = 0; i < times; i++)
            await Task.WhenAll(devices.Select((device, at) => SendAsync(clients[at], device)).Append(Task.Delay(1000)));
        await hub.SettleAsync();
        var spent = hub.Cpu - before;
        foreach (var client in clients)
            client.Dispose();
        return spent.Both / (times * devices.Count);
    }

    private static async Task<double> SendAsync(IMqttClient client, LiveDevice device)
    {
        var message = device.Next(DateTimeOffset.UtcNow.ToUnixTimeMilliseconds());
        var begin = Stopwatch.GetTimestamp();
        await Devices.SendAsync(client, device.Topic, message);
        return Stopwatch.GetElapsedTime(begin).TotalMilliseconds;
    }
}
