using System.Text.Json;
using System.Text.Json.Serialization;

namespace NutrientLedger.Web.Http;

/// <summary>
/// Reads texts of requests. A text that PostgreSQL cannot hold (U+0000) or that is far too long is rejected with its
/// place in the body.
/// </summary>
internal sealed class TextJsonConverter : JsonConverter<string>
{
    /// <summary>Far more than any reason that a person writes, in characters.</summary>
    private const int LengthMax = 4_000;

    public override string? Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        if (reader.TokenType is not (JsonTokenType.String or JsonTokenType.PropertyName))
            throw new JsonException();
        var text = reader.GetString();
        if (text?.Contains('\0', StringComparison.Ordinal) == true)
            throw new JsonException("A text must not contain the character U+0000.");
        return text?.Length > LengthMax
            ? throw new JsonException($"A text must have at most {LengthMax} characters.")
            : text;
    }

    public override string ReadAsPropertyName(
        ref Utf8JsonReader reader,
        Type typeToConvert,
        JsonSerializerOptions options
    ) => Read(ref reader, typeToConvert, options)!;

    public override void Write(Utf8JsonWriter writer, string value, JsonSerializerOptions options) =>
        writer.WriteStringValue(value);

    public override void WriteAsPropertyName(Utf8JsonWriter writer, string value, JsonSerializerOptions options) =>
        writer.WritePropertyName(value);
}
