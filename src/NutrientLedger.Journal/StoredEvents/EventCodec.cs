using System.Text.Json;
using System.Text.Json.Serialization;
using System.Text.Json.Serialization.Metadata;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;

namespace NutrientLedger.Journal.StoredEvents;

/// <summary>
/// The stored form of an entry: packs of telemetry as <see cref="BatchCodec"/> bytes, everything else as JSON with
/// camel-case names. Golden files under tests hold one example of each; what is stored once must stay readable.
/// </summary>
public static class EventCodec
{
    /// <summary>How rare entries are written as JSON, and how any entry is printed.</summary>
    public static JsonSerializerOptions Json { get; } = MakeJson();

    /// <summary>The bytes over which the hash chain runs: what is stored, in the form it is stored.</summary>
    public static byte[] Encode(IJournalEvent @event) =>
        @event switch
        {
            SpreadingMeasured measured => BatchCodec.Encode(measured.Batch),
            StorageLevelMeasured measured => BatchCodec.Encode(measured.Batch),
            WeatherMeasured measured => BatchCodec.Encode(measured.Batch),
            _ => JsonSerializer.SerializeToUtf8Bytes(@event, @event.GetType(), Json),
        };

    /// <summary>Reads an entry back from its stored bytes.</summary>
    public static IJournalEvent Decode(string storedName, ReadOnlySpan<byte> stored) =>
        StoredNames.ByName.TryGetValue(storedName, out var type)
            ? Decode(type, stored)
            : throw new FormatException(
                $"The journal holds an event named '{storedName}' that this hub does not know."
            );

    private static IJournalEvent Decode(Type type, ReadOnlySpan<byte> stored) =>
        type == typeof(SpreadingMeasured) ? new SpreadingMeasured(BatchCodec.Decode<SpreadReading>(stored))
        : type == typeof(StorageLevelMeasured) ? new StorageLevelMeasured(BatchCodec.Decode<LevelReading>(stored))
        : type == typeof(WeatherMeasured) ? new WeatherMeasured(BatchCodec.Decode<WeatherReading>(stored))
        : (IJournalEvent)JsonSerializer.Deserialize(stored, type, Json)!;

    /// <summary>Whether an entry of this type is a pack of telemetry, stored as bytes.</summary>
    public static bool IsBatch(Type type) =>
        type == typeof(SpreadingMeasured) || type == typeof(StorageLevelMeasured) || type == typeof(WeatherMeasured);

    private static JsonSerializerOptions MakeJson()
    {
        var options = new JsonSerializerOptions
        {
            PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
            DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
            // The database keeps the properties of stored JSON in an order of its own.
            AllowOutOfOrderMetadataProperties = true,
            Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase), new RingJsonConverter() },
            TypeInfoResolver = new DefaultJsonTypeInfoResolver { Modifiers = { NamePitShapes } },
        };
        options.MakeReadOnly();
        return options;
    }

    /// <summary>The shape of a pit is stored with its kind's name; Agronomy itself knows nothing of storage.</summary>
    private static void NamePitShapes(JsonTypeInfo info)
    {
        if (info.Type == typeof(PitShape))
            info.PolymorphismOptions = new()
            {
                TypeDiscriminatorPropertyName = "kind",
                UnknownDerivedTypeHandling = JsonUnknownDerivedTypeHandling.FailSerialization,
                DerivedTypes =
                {
                    new(typeof(RectangularBasin), "rectangularBasin"),
                    new(typeof(RoundTank), "roundTank"),
                    new(typeof(RoundPond), "roundPond"),
                    new(typeof(CoveredPit), "coveredPit"),
                    new(typeof(StageVolumeTable), "stageVolumeTable"),
                },
            };
    }
}
