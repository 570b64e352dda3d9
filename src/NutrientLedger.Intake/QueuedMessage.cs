using System.Threading.RateLimiting;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Store;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Intake;

/// <summary>A message between its arrival and the verdict on it.</summary>
internal sealed class QueuedMessage(string topic, string? contentType, byte[] payload, MessageFate fate, long arrivedAt)
{
    private readonly TaskCompletionSource<Verdict> verdict = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public string Topic => topic;

    public string? ContentType => contentType;

    public byte[] Payload => payload;

    public MessageFate Fate => fate;

    /// <summary>When it arrived, as a timestamp of the hub's time provider.</summary>
    public long ArrivedAt => arrivedAt;

    /// <summary>The room it takes up in the queue, given back with the verdict.</summary>
    public RateLimitLease? Room { get; set; }

    /// <summary>Completes once it is known what became of the message.</summary>
    public Task<Verdict> Verdict => verdict.Task;

    public int Readings =>
        (fate as MessageFate.Decoded)?.Entry switch
        {
            SpreadingMeasured spread => spread.Pack.Readings.Length,
            StorageLevelMeasured store => store.Pack.Readings.Length,
            WeatherMeasured weather => weather.Pack.Readings.Length,
            _ => 0,
        };

    /// <summary>The machine that measured, when the message could be read.</summary>
    public FarmDevice? Device =>
        fate is MessageFate.Decoded decoded
            ? decoded.Entry switch
            {
                SpreadingMeasured spread => new FarmDevice(decoded.FarmId, spread.Pack.EquipmentId),
                StorageLevelMeasured store => new FarmDevice(decoded.FarmId, store.Pack.EquipmentId),
                WeatherMeasured weather => new FarmDevice(decoded.FarmId, weather.Pack.EquipmentId),
                _ => null,
            }
            : null;

    public void Decide(Verdict decided)
    {
        Room?.Dispose();
        verdict.TrySetResult(decided);
    }
}
