using System.Buffers;
using System.Text.Json;
using MQTTnet;
using MQTTnet.Protocol;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Ingestion.Watermarks;

/// <summary>Where stored marks are told: the lines of the embedded broker, or the line to an external one.</summary>
internal interface IWatermarkPublisher
{
    /// <summary>Tells a machine's mark to whoever listens, now and later; false while there is no line to tell it on.</summary>
    Task<bool> PublishAsync(FarmDevice device, MqttApplicationMessage watermark, CancellationToken cancellationToken);
}

/// <summary>The machines whose marks have moved since they were told, and what a told mark looks like.</summary>
internal sealed class PendingWatermarks
{
    public const string TopicEnd = "/stored";

    private readonly Lock guard = new();
    private HashSet<FarmDevice> devices = [];
    private TaskCompletionSource any = new(TaskCreationOptions.RunContinuationsAsynchronously);

    /// <summary>Notes that something of the machine was committed.</summary>
    public void Add(FarmDevice device)
    {
        lock (guard)
        {
            devices.Add(device);
            any.TrySetResult();
        }
    }

    /// <summary>Waits until a mark has moved.</summary>
    public Task AnyAsync(CancellationToken cancellationToken)
    {
        lock (guard)
            return any.Task.WaitAsync(cancellationToken);
    }

    /// <summary>Gives all machines whose mark has moved, and begins anew.</summary>
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

    /// <summary>The retained message of a machine's marks, SenML (RFC 8428) with names <c>{stream}/{boot}/seq</c> and <c>…/top</c>.</summary>
    public static MqttApplicationMessage Message(
        FarmDevice device,
        IEnumerable<AcknowledgementWatermark> watermarks,
        DateTimeOffset now
    )
    {
        var payload = new ArrayBufferWriter<byte>();
        using (var json = new Utf8JsonWriter(payload))
        {
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
