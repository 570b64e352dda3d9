using System.Text.Json;
using System.Text.Json.Serialization;
using System.Text.Json.Serialization.Metadata;
using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Journal.Codecs;

/// <summary>
/// How configuration events are written as JSON, and how any event is printed. Names are in camel case, nulls are left
/// out.
/// </summary>
public static class EventJson
{
    public static JsonSerializerOptions Options { get; } = MakeOptions();

    private static JsonSerializerOptions MakeOptions()
    {
        var options = new JsonSerializerOptions
        {
            PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
            DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
            // The database does not keep the order of properties in stored JSON.
            AllowOutOfOrderMetadataProperties = true,
            Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase), new RingJsonConverter() },
            TypeInfoResolver = new DefaultJsonTypeInfoResolver { Modifiers = { NamePitShapes } },
        };
        options.MakeReadOnly();
        return options;
    }

    /// <summary>A pit's shape is stored with the name of its kind. Agronomy itself knows nothing of storage.</summary>
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
