using System.Text.Json;

namespace NutrientLedger.Telemetry.Senml;

/// <summary>
/// Reads the value of one SenML field as the type that RFC 8428 table 2 gives it. Each method returns what is wrong, or
/// null.
/// </summary>
internal static class SenmlFields
{
    private const double VersionKnown = 10;

    public static string? Text(ref readonly Utf8JsonReader json, ref ReadOnlySpan<byte> text)
    {
        if (json.TokenType != JsonTokenType.String)
            return "that is not a JSON string";
        text = json.ValueSpan;
        if (json.ValueIsEscaped)
        {
            var unescaped = new byte[json.ValueSpan.Length];
            text = unescaped.AsSpan(0, json.CopyString(unescaped));
        }
        return null;
    }

    public static string? Finite(ref readonly Utf8JsonReader json, ref double number) =>
        json.TokenType == JsonTokenType.Number && json.TryGetDouble(out number) && double.IsFinite(number)
            ? null
            : "that is not a finite JSON number";

    public static string? Finite(ref readonly Utf8JsonReader json, ref double? number)
    {
        double read = 0;
        var wrong = Finite(in json, ref read);
        number = read;
        return wrong;
    }

    public static string? Flag(ref readonly Utf8JsonReader json, ref bool flag)
    {
        flag = json.TokenType == JsonTokenType.True;
        return json.TokenType is JsonTokenType.True or JsonTokenType.False ? null : "that is neither true nor false";
    }

    public static string? Version(ref readonly Utf8JsonReader json)
    {
        double version = 0;
        return Finite(in json, ref version)
            ?? (
                version == VersionKnown
                    ? null
                    : RejectionReason.Of($"of {version}; only version {VersionKnown} is supported")
            );
    }
}
