using System.Text.Json;
using System.Text.Json.Serialization;
using System.Text.RegularExpressions;

namespace NutrientLedger.Web.Http;

/// <summary>
/// Reads times only with a UTC offset. Otherwise the hub's time zone would silently be used instead of the farm's.
/// </summary>
internal sealed partial class MomentJsonConverter : JsonConverter<DateTimeOffset>
{
    public override DateTimeOffset Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        reader.TokenType == JsonTokenType.String
        && EndsWithOffset().IsMatch(reader.GetString()!)
        && reader.TryGetDateTimeOffset(out var moment)
            ? moment
            : throw new JsonException("write a time with its UTC offset, such as 2025-10-01T00:00:00-05:00.");

    public override void Write(Utf8JsonWriter writer, DateTimeOffset value, JsonSerializerOptions options) =>
        writer.WriteStringValue(value);

    [GeneratedRegex(@"T.*(Z|[+-]\d\d:\d\d)$", RegexOptions.CultureInvariant)]
    private static partial Regex EndsWithOffset();
}
