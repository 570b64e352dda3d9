using System.Text.Json;
using System.Text.Json.Serialization;

namespace NutrientLedger.Web.Http;

/// <summary>
/// Reads times only with a UTC offset. Otherwise the hub's time zone would silently be used instead of the farm's.
/// </summary>
internal sealed class MomentJsonConverter : JsonConverter<DateTimeOffset>
{
    private const int ShortestLength = 17;
    private const int LongestLength = 40;

    public override DateTimeOffset Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        reader.TokenType == JsonTokenType.String
        && EndsWithOffset(reader.GetString()!)
        && reader.TryGetDateTimeOffset(out var moment)
            ? moment
            : throw new JsonException("write a time with its UTC offset, such as 2025-10-01T00:00:00-05:00.");

    public override void Write(Utf8JsonWriter writer, DateTimeOffset value, JsonSerializerOptions options) =>
        writer.WriteStringValue(value);

    private static bool EndsWithOffset(string text) =>
        text.Length is >= ShortestLength and <= LongestLength
        && (text[^1] == 'Z' || (text[^6] is '+' or '-' && text[^3] == ':'));
}
