using System.Text;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Tests.Telemetry;

/// <summary>Decodes messages of an invented farm, for tests that look at one thing each.</summary>
internal static class Wire
{
    public const string Spread = "agri/v1/quarry-farm/spreader-1/spread";
    public const string Store = "agri/v1/quarry-farm/gauge-1/store";
    public const string Weather = "agri/v1/quarry-farm/mast-1/weather";

    public static DecodeResult Read(string topic, string payload, string? contentType = null) =>
        MessageDecoder.Decode(topic, contentType, Encoding.UTF8.GetBytes(payload));

    public static ReadingBatch<SpreadReading> SpreadBatch(string payload) =>
        Decoded<SpreadingMeasured>(Spread, payload).Batch;

    public static ReadingBatch<LevelReading> StoreBatch(string payload) =>
        Decoded<StorageLevelMeasured>(Store, payload).Batch;

    public static ReadingBatch<WeatherReading> WeatherBatch(string payload) =>
        Decoded<WeatherMeasured>(Weather, payload).Batch;

    public static string Rejection(string topic, string payload, string? contentType = null) =>
        Assert.IsType<DecodeResult.Rejected>(Read(topic, payload, contentType)).Reason;

    /// <summary>A sound spread message whose last record is the given one.</summary>
    public static string SpreadWith(string record) =>
        $$"""[{"bt":1790000000,"n":"boot","v":3},{"n":"seq","v":41},{"n":"lat","u":"lat","v":44.5},{{record}}]""";

    private static TEvent Decoded<TEvent>(string topic, string payload)
        where TEvent : IJournalEvent
    {
        var result = Read(topic, payload);
        Assert.True(result is DecodeResult.Decoded, result.ToString());
        var decoded = (DecodeResult.Decoded)result;
        Assert.Equal("quarry-farm", decoded.FarmId);
        return Assert.IsType<TEvent>(decoded.Event);
    }
}
