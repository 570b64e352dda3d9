using System.Buffers;
using System.Text.Json;
using MQTTnet;
using MQTTnet.Protocol;
using NutrientLedger.Store;

namespace NutrientLedger.Intake.Marks;

/// <summary>Where stored marks are told: the lines of the embedded broker, or the line to an external one.</summary>
internal interface IStoredLine
{
    /// <summary>Tells a machine's mark to whoever listens, now and later; false while there is no line to tell it on.</summary>
    Task<bool> TellAsync(FarmDevice device, MqttApplicationMessage mark, CancellationToken cancellationToken);
}

/// <summary>The machines whose marks have moved since they were told, and what a told mark looks like.</summary>
internal sealed class StoredNotices
{
    public const string TopicEnd = "/stored";

    private readonly Lock guard = new();
    private HashSet<FarmDevice> moved = [];
    private TaskCompletionSource any = new(TaskCreationOptions.RunContinuationsAsynchronously);

    /// <summary>Notes that something of the machine was committed.</summary>
    public void Note(FarmDevice device)
    {
        lock (guard)
        {
            moved.Add(device);
            any.TrySetResult();
        }
    }

    /// <summary>Waits until a mark has moved.</summary>
    public Task MovedAsync(CancellationToken cancellationToken)
    {
        lock (guard)
            return any.Task.WaitAsync(cancellationToken);
    }

    /// <summary>Gives all machines whose mark has moved, and begins anew.</summary>
    public IReadOnlyCollection<FarmDevice> Take()
    {
        lock (guard)
        {
            var taken = moved;
            moved = [];
            any = new(TaskCreationOptions.RunContinuationsAsynchronously);
            return taken;
        }
    }

    /// <summary>The retained message of a machine's marks, SenML (RFC 8428) with names <c>{stream}/{boot}/seq</c> and <c>…/top</c>.</summary>
    public static MqttApplicationMessage Message(FarmDevice device, IEnumerable<StoredMark> marks, DateTimeOffset now)
    {
        var payload = new ArrayBufferWriter<byte>();
        using (var json = new Utf8JsonWriter(payload))
        {
            json.WriteStartArray();
            foreach (var mark in marks)
            {
                json.WriteStartObject();
                json.WriteString("bn", $"{mark.Stream.ToString().ToLowerInvariant()}/{mark.Boot}/");
                json.WriteNumber("bt", now.ToUnixTimeMilliseconds() / 1000m);
                Record(json, "seq", mark.UpTo);
                json.WriteEndObject();
                json.WriteStartObject();
                Record(json, "top", mark.Highest);
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
