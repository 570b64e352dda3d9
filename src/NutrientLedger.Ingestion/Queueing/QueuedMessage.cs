using System.Buffers;
using System.Security.Cryptography;
using System.Threading.RateLimiting;
using MQTTnet;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Ingestion.Queueing;

/// <summary>A message between its arrival and its result.</summary>
internal sealed class QueuedMessage(
    string topic,
    string? contentType,
    byte[] payload,
    DecodeResult decodeResult,
    long arrivedAt,
    WholePayload? whole = null
)
{
    /// <summary>How much is kept of a message that is too large, in bytes.</summary>
    private const int BeginningBytes = 4096;

    private readonly TaskCompletionSource<AcknowledgeResult> acknowledgement = new(
        TaskCreationOptions.RunContinuationsAsynchronously
    );

    public string Topic => topic;

    public string? ContentType => contentType;

    /// <summary>All bytes, or the first of a message that is too large to be read.</summary>
    public byte[] Payload => payload;

    public DecodeResult DecodeResult => decodeResult;

    /// <summary>What the whole payload was; null when all of it is here.</summary>
    public WholePayload? Whole => whole;

    /// <summary>When it arrived, as a timestamp of the hub's time provider.</summary>
    public long ArrivedAt => arrivedAt;

    /// <summary>The room that it takes in the queue. It is released with the result.</summary>
    public RateLimitLease? Room { get; set; }

    /// <summary>Completes once the result of the message is known.</summary>
    public Task<AcknowledgeResult> Acknowledgement => acknowledgement.Task;

    public int Readings =>
        (decodeResult as DecodeResult.Decoded)?.Event switch
        {
            SpreadingMeasured spread => spread.Batch.Readings.Length,
            StorageLevelMeasured store => store.Batch.Readings.Length,
            WeatherMeasured weather => weather.Batch.Readings.Length,
            _ => 0,
        };

    /// <summary>The device that measured; null when the message could not be decoded.</summary>
    public FarmDevice? Device =>
        decodeResult is DecodeResult.Decoded decoded
            ? decoded.Event switch
            {
                SpreadingMeasured spread => new FarmDevice(decoded.FarmId, spread.Batch.EquipmentId),
                StorageLevelMeasured store => new FarmDevice(decoded.FarmId, store.Batch.EquipmentId),
                WeatherMeasured weather => new FarmDevice(decoded.FarmId, weather.Batch.EquipmentId),
                _ => null,
            }
            : null;

    /// <summary>
    /// Decodes an arrived message, or takes a reason why it is rejected. Of a message that is too large only the
    /// beginning stays, so that many of them cannot fill the memory.
    /// </summary>
    public static QueuedMessage Of(MqttApplicationMessage message, string? rejection, long arrivedAt)
    {
        var (topic, type, payload) = (message.Topic ?? "", message.ContentType, message.Payload.ToArray());
        var decodeResult = rejection is null
            ? MessageDecoder.Decode(topic, type, payload)
            : new DecodeResult.Rejected(rejection);
        if (
            payload.Length <= MessageDecoder.BytesMax
            || decodeResult is not DecodeResult.Rejected { Reason: var reason }
        )
            return new(topic, type, payload, decodeResult, arrivedAt);
        return new(
            topic,
            type,
            payload[..BeginningBytes],
            new DecodeResult.Rejected($"{reason} The hub keeps only its first {BeginningBytes} bytes and its SHA-256."),
            arrivedAt,
            new(payload.Length, Convert.ToHexStringLower(SHA256.HashData(payload)))
        );
    }

    /// <summary>As it is kept when it is rejected for a reason.</summary>
    public RejectedMessage Rejected(string reason) => new(topic, payload, reason, contentType, whole);

    public void Complete(AcknowledgeResult result)
    {
        Room?.Dispose();
        acknowledgement.TrySetResult(result);
    }
}
