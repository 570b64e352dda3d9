using System.Diagnostics;
using MQTTnet;
using MQTTnet.Formatter;
using MQTTnet.Protocol;

namespace NutrientLedger.Benchmarks;

/// <summary>The invented applicators as MQTT clients: the same code for every broker measured.</summary>
internal static class Devices
{
    /// <summary>The maximum of unacknowledged messages at full rate, over all applicators.</summary>
    private const int InFlight = 1024;

    private static long boot;

    public static Task<IMqttClient> ConnectAsync(int port, int applicator) =>
        ConnectAsync(port, BenchFarm.Topic(applicator));

    /// <summary>
    /// Options of a client on this machine, with large socket buffers. With the library's of 8 kB a window can shrink
    /// to nothing and stay there for ever.
    /// </summary>
    public static MqttClientOptions OptionsOf(int port, string clientId)
    {
        var options = new MqttClientOptionsBuilder()
            .WithTcpServer("127.0.0.1", port)
            .WithClientId(clientId)
            .WithProtocolVersion(MqttProtocolVersion.V500)
            .Build();
        ((MqttClientTcpOptions)options.ChannelOptions).BufferSize = 1 << 20;
        return options;
    }

    /// <summary>Connects the device that sends on this topic.</summary>
    public static async Task<IMqttClient> ConnectAsync(int port, string topic)
    {
        var client = new MqttClientFactory().CreateMqttClient();
        var options = OptionsOf(port, topic);
        for (var tries = 0; ; tries++)
            try
            {
                await client.ConnectAsync(options);
                return client;
            }
            catch (Exception) when (tries < 100)
            {
                // A broker starts to listen shortly after its process has started.
                await Task.Delay(50);
            }
    }

    /// <summary>Sends a message and waits for its acknowledgement; anything but success ends the measurement.</summary>
    public static Task SendAsync(IMqttClient client, int applicator, byte[] payload) =>
        SendAsync(client, BenchFarm.Topic(applicator), payload);

    /// <summary>The same on a topic of any farm.</summary>
    public static async Task SendAsync(IMqttClient client, string topic, byte[] payload)
    {
        var answer = await client.PublishAsync(
            new MqttApplicationMessageBuilder()
                .WithTopic(topic)
                .WithPayload(payload)
                .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
                .Build()
        );
        if (!answer.IsSuccess)
            throw new InvalidOperationException($"{answer.ReasonCode}: {answer.ReasonString}");
    }

    /// <summary>Messages of each applicator, as if kept while it was out of reach. Numbers never repeat.</summary>
    public static byte[][][] Kept(int applicators, int readings, int count, int stepMs)
    {
        boot++;
        return
        [
            .. Enumerable
                .Range(0, applicators)
                .Select(applicator =>
                    Enumerable
                        .Range(0, count / applicators)
                        .Select(i => BenchFarm.Kept(applicator, boot, (long)i * readings, readings, stepMs))
                        .ToArray()
                ),
        ];
    }

    /// <summary>
    /// Sends all as fast as the broker accepts it. Returns the time until the last is acknowledged and the other task
    /// is done.
    /// </summary>
    public static async Task<TimeSpan> SendAllAsync(int port, byte[][][] messages, Task also)
    {
        var clients = await Task.WhenAll(
            Enumerable.Range(0, messages.Length).Select(applicator => ConnectAsync(port, applicator))
        );
        var watch = Stopwatch.StartNew();
        await Task.WhenAll(
            messages
                .Select(
                    (own, applicator) => SendAsync(clients[applicator], applicator, own, InFlight / messages.Length)
                )
                .Append(also)
        );
        watch.Stop();
        foreach (var client in clients)
            client.Dispose();
        return watch.Elapsed;
    }

    /// <summary>Sends an applicator's messages in order, with at most so many unacknowledged.</summary>
    public static Task SendAsync(IMqttClient client, int applicator, IEnumerable<byte[]> messages, int inFlight) =>
        SendAsync(client, BenchFarm.Topic(applicator), messages, inFlight);

    /// <summary>The same on a topic of any farm.</summary>
    public static async Task SendAsync(IMqttClient client, string topic, IEnumerable<byte[]> messages, int inFlight)
    {
        using var window = new SemaphoreSlim(inFlight);
        Exception? error = null;
        foreach (var message in messages)
        {
            await window.WaitAsync();
            if (error is not null)
            {
                window.Release();
                break;
            }
            _ = SendOneAsync(message);
        }
        for (var i = 0; i < inFlight; i++)
            await window.WaitAsync();
        if (error is not null)
            throw error;

        async Task SendOneAsync(byte[] message)
        {
            try
            {
                await SendAsync(client, topic, message);
            }
            catch (Exception e)
            {
                error = e;
            }
            finally
            {
                window.Release();
            }
        }
    }
}
