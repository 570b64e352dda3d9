using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Telemetry.Channels;
using NutrientLedger.Telemetry.Senml;

namespace NutrientLedger.Telemetry;

/// <summary>
/// Decodes a message from its topic, content type and bytes. Bad input from a device gives a rejection, never an
/// exception.
/// </summary>
public static class MessageDecoder
{
    /// <summary>The most bytes that a message may have.</summary>
    public const int BytesMax = 256 * 1024;

    private const string SenmlJson = "application/senml+json";

    /// <summary>Decodes one message. A missing content type means SenML JSON.</summary>
    public static DecodeResult Decode(string topic, string? contentType, ReadOnlySpan<byte> payload)
    {
        if (!WireTopic.TryParse(topic, out var where, out var rejection))
            return new DecodeResult.Rejected(rejection);
        if (payload.Length > BytesMax)
            return new DecodeResult.Rejected(
                $"The message has {payload.Length} bytes; at most {BytesMax} are read. Send fewer readings per message."
            );
        return MediaType(contentType) switch
        {
            "" or SenmlJson => DecodeSenmlJson(where, payload),
            var other => new DecodeResult.Rejected(
                $"Content type '{RejectionReason.Quoted(other)}' is not supported; send {SenmlJson}."
            ),
        };
    }

    private static DecodeResult DecodeSenmlJson(WireTopic where, ReadOnlySpan<byte> payload) =>
        where.Stream switch
        {
            TelemetryStream.Spread => new SenmlDecoder<SpreadReading>(SpreadChannels.All).Decode(
                payload,
                where,
                batch => new SpreadingMeasured(batch)
            ),
            TelemetryStream.Store => new SenmlDecoder<LevelReading>(LevelChannels.All).Decode(
                payload,
                where,
                batch => new StorageLevelMeasured(batch)
            ),
            TelemetryStream.Weather => new SenmlDecoder<WeatherReading>(WeatherChannels.All).Decode(
                payload,
                where,
                batch => new WeatherMeasured(batch)
            ),
            _ => throw new ArgumentOutOfRangeException(nameof(where)),
        };

    /// <summary>
    /// The content type without its parameters, in lower case. Media types ignore case (RFC 2045 section 5.1).
    /// </summary>
    private static string MediaType(string? contentType)
    {
        var type = contentType.AsSpan();
        var parameters = type.IndexOf(';');
        return (parameters < 0 ? type : type[..parameters]).Trim().ToString().ToLowerInvariant();
    }
}
