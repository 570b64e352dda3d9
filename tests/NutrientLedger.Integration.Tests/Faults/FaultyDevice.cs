using MQTTnet;
using MQTTnet.Exceptions;
using MQTTnet.Protocol;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// A drag line with a bad connection: messages out of order within twenty, one in ten sent twice, one in ten followed
/// by a corrupt one. Like any device it keeps each message until it is acknowledged, reconnects, and sends it again.
/// </summary>
internal sealed class FaultyDevice(int port, string topic, int seed)
{
    private const int ChunkSize = 20;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(6);

    private readonly Random random = new(seed);
    private readonly TaskCompletionSource notStoredNow = new(TaskCreationOptions.RunContinuationsAsynchronously);

    /// <summary>Completes at the first response "not stored now, send again".</summary>
    public Task NotStoredNow => notStoredNow.Task;

    public long ReadingsAcknowledged { get; private set; }

    public int SentTwice { get; private set; }

    /// <summary>How many corrupt messages of each kind were acknowledged as rejected.</summary>
    public int[] CorruptRejected { get; } = new int[CorruptMessages.Kinds.Count];

    /// <summary>Whether a message of every kind was rejected; how soon depends on the machine's speed.</summary>
    public bool IsEveryKindRejected => CorruptRejected.All(count => count > 0);

    /// <summary>Sends until the task completes; everything begun is acknowledged by then.</summary>
    public async Task SendAsync(Task stop)
    {
        using var device = new MqttClientFactory().CreateMqttClient();
        var next = 1L;
        while (!stop.IsCompleted)
        {
            var messages = new List<(byte[] Payload, int Kind)>();
            for (var i = 0; i < ChunkSize; i++, next += CorruptMessages.ReadingsEach)
            {
                var sound = System.Text.Encoding.UTF8.GetBytes(CorruptMessages.Spreading(next));
                messages.Add((sound, -1));
                if (random.Next(10) == 0)
                {
                    messages.Add((sound, -1));
                    SentTwice++;
                }
                if (random.Next(10) == 0)
                {
                    var kind = random.Next(CorruptMessages.Kinds.Count);
                    messages.Add((CorruptMessages.Corrupted(kind, next), kind));
                }
            }
            random.Shuffle(System.Runtime.InteropServices.CollectionsMarshal.AsSpan(messages));
            await SendAllAsync(device, messages);
            ReadingsAcknowledged += ChunkSize * CorruptMessages.ReadingsEach;
            await Task.WhenAny(stop, Task.Delay(150));
        }
    }

    private async Task SendAllAsync(IMqttClient device, List<(byte[] Payload, int Kind)> messages)
    {
        using var limit = new CancellationTokenSource(Patience);
        while (messages.Count > 0)
        {
            limit.Token.ThrowIfCancellationRequested();
            try
            {
                if (!device.IsConnected)
                    await device.ConnectAsync(
                        new MqttClientOptionsBuilder()
                            .WithTcpServer("127.0.0.1", port)
                            .WithClientId("drag-line")
                            .WithProtocolVersion(MQTTnet.Formatter.MqttProtocolVersion.V500)
                            .Build(),
                        limit.Token
                    );
                var answers = await Task.WhenAll(
                    messages.Select(one =>
                        device.PublishAsync(
                            new MqttApplicationMessageBuilder()
                                .WithTopic(topic)
                                .WithPayload(one.Payload)
                                .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
                                .Build(),
                            limit.Token
                        )
                    )
                );
                messages = [.. messages.Where((one, i) => !IsSettled(one.Kind, answers[i]))];
            }
            catch (MqttCommunicationException)
            {
                await Task.Delay(100, limit.Token);
            }
        }
    }

    /// <summary>Stored or rejected for good; a valid message must never be rejected.</summary>
    private bool IsSettled(int kind, MqttClientPublishResult answer)
    {
        var code = answer.ReasonCode;
        if (code == MqttClientPublishReasonCode.UnspecifiedError)
            notStoredNow.TrySetResult();
        if (code == MqttClientPublishReasonCode.PayloadFormatInvalid)
        {
            Assert.True(kind >= 0, $"A valid message was rejected: {answer.ReasonString}");
            CorruptRejected[kind]++;
            return true;
        }
        var stored = code is MqttClientPublishReasonCode.Success or MqttClientPublishReasonCode.NoMatchingSubscribers;
        Assert.False(
            stored && kind >= 0,
            kind < 0 ? "" : $"A corrupt message was stored: {CorruptMessages.Kinds[kind].Kind}"
        );
        return stored;
    }
}
