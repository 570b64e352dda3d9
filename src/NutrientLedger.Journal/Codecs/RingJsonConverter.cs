using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Journal.Codecs;

/// <summary>Stores a ring as one flat list: latitude, longitude, latitude, longitude … in whole 1e-7 degrees.</summary>
internal sealed class RingJsonConverter : JsonConverter<Ring>
{
    public override Ring Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        if (reader.TokenType != JsonTokenType.StartArray)
            throw new JsonException("A ring is a list of whole numbers.");
        var corners = ImmutableArray.CreateBuilder<GeoPoint>();
        while (reader.Read() && reader.TokenType != JsonTokenType.EndArray)
        {
            var latitude = reader.GetInt32();
            reader.Read();
            corners.Add(new(latitude, reader.GetInt32()));
        }
        return new(corners.ToImmutable());
    }

    public override void Write(Utf8JsonWriter writer, Ring value, JsonSerializerOptions options)
    {
        writer.WriteStartArray();
        foreach (var corner in value.Corners)
        {
            writer.WriteNumberValue(corner.LatitudeE7);
            writer.WriteNumberValue(corner.LongitudeE7);
        }
        writer.WriteEndArray();
    }
}
