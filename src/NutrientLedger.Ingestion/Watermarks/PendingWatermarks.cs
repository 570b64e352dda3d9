using System.Buffers;
using System.Text.Json;
using MQTTnet;
using MQTTnet.Protocol;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Ingestion.Watermarks;

/// <summary>
/// Publishes acknowledgement watermarks: through the embedded broker, or on the connection to an external one.
/// </summary>
internal interface IWatermarkPublisher
{
    /// <summary>
    /// Publishes a device's watermark as a retained message. Returns false while there is no connection.
    /// </summary>
    Task<bool> PublishAsync(FarmDevice device, MqttApplicationMessage watermark, CancellationToken cancellationToken);
}

/// <summary>The devices whose watermarks have changed since they were last published.</summary>
internal sealed class PendingWatermarks
{
    public const string TopicEnd = "/stored";

    private readonly Lock guard = new();
    private HashSet<FarmDevice> devices = [];
    private TaskCompletionSource any = new(TaskCreationOptions.RunContinuationsAsynchronously);

    /// <summary>Records that something of the device was committed.</summary>
    public void Add(FarmDevice device)
    {
        lock (guard)
        {
            devices.Add(device);
            any.TrySetResult();
        }
    }

    /// <summary>Waits until a watermark has changed.</summary>
    public Task AnyAsync(CancellationToken cancellationToken)
    {
        lock (guard)
            return any.Task.WaitAsync(cancellationToken);
    }

    /// <summary>Returns all devices whose watermark has changed, and clears the set.</summary>
    public IReadOnlyCollection<FarmDevice> Take()
    {
        lock (guard)
        {
            var taken = devices;
            devices = [];
            any = new(TaskCreationOptions.RunContinuationsAsynchronously);
            return taken;
        }
    }

    /// <summary>
    /// The retained message with a device's watermarks: SenML (RFC 8428) with names <c>{stream}/{boot}/seq</c> and
    /// <c>…/top</c>. Without any it is empty, which deletes the retained one (MQTT 5, section 3.3.1.3; from memory).
    /// </summary>
    public static MqttApplicationMessage Message(
        FarmDevice device,
        IReadOnlyCollection<AcknowledgementWatermark> watermarks,
        DateTimeOffset now
    )
    {
        var payload = new ArrayBufferWriter<byte>();
        if (watermarks.Count > 0)
        {
            using var json = new Utf8JsonWriter(payload);
            json.WriteStartArray();
            foreach (var watermark in watermarks)
            {
                json.WriteStartObject();
                json.WriteString("bn", $"{watermark.Stream.ToString().ToLowerInvariant()}/{watermark.Boot}/");
                json.WriteNumber("bt", now.ToUnixTimeMilliseconds() / 1000m);
                Record(json, "seq", watermark.UpTo);
                json.WriteEndObject();
                json.WriteStartObject();
                Record(json, "top", watermark.Highest);
                json.WriteEndObject();
            }
            json.WriteEndArray();
        }
        return new MqttApplicationMessageBuilder()
            .WithTopic($"agri/v1/{device.FarmId}/{device.EquipmentId}{TopicEnd}")
            .WithPayload(payload.WrittenSpan.ToArray())
            .WithContentType("application/senml+json")
            .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
            .WithRetainFlag()
            .Build();
    }

    private static void Record(Utf8JsonWriter json, string name, long number)
    {
        json.WriteString("n", name);
        json.WriteString("u", "count");
        json.WriteNumber("v", number);
    }
}
