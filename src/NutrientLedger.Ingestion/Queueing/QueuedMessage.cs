using System.Threading.RateLimiting;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Persistence.ReceivedRanges;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Ingestion.Queueing;

/// <summary>A message between its arrival and its result.</summary>
internal sealed class QueuedMessage(
    string topic,
    string? contentType,
    byte[] payload,
    DecodeResult decodeResult,
    long arrivedAt
)
{
    private readonly TaskCompletionSource<AcknowledgeResult> acknowledgement = new(
        TaskCreationOptions.RunContinuationsAsynchronously
    );

    public string Topic => topic;

    public string? ContentType => contentType;

    public byte[] Payload => payload;

    public DecodeResult DecodeResult => decodeResult;

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

    public void Complete(AcknowledgeResult result)
    {
        Room?.Dispose();
        acknowledgement.TrySetResult(result);
    }
}
