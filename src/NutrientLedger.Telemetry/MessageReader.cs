using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Telemetry.Spreading;
using NutrientLedger.Telemetry.Storage;
using NutrientLedger.Telemetry.Weather;

namespace NutrientLedger.Telemetry;

/// <summary>Reads a message off the wire: topic, content type and bytes to readings, or a reason why not. Never throws for what a sender did.</summary>
public static class MessageReader
{
    /// <summary>The most bytes a message may have.</summary>
    public const int BytesMax = 256 * 1024;

    private const string SenmlJson = "application/senml+json";

    /// <summary>The fate of one message. A missing content type means SenML JSON.</summary>
    public static MessageFate Read(string topic, string? contentType, ReadOnlySpan<byte> payload)
    {
        if (!WireTopic.TryParse(topic, out var where, out var refusal))
            return new MessageFate.Refused(refusal);
        if (payload.Length > BytesMax)
            return new MessageFate.Refused(
                $"The message has {payload.Length} bytes; at most {BytesMax} are read. Send fewer readings a message."
            );
        return MediaType(contentType) switch
        {
            "" or SenmlJson => ReadSenmlJson(where, payload),
            var other => new MessageFate.Refused(
                $"Content type '{Reason.Quoted(other)}' is not read here; send {SenmlJson}."
            ),
        };
    }

    private static MessageFate ReadSenmlJson(WireTopic where, ReadOnlySpan<byte> payload) =>
        where.Stream switch
        {
            TelemetryStream.Spread => new SenmlPack<SpreadReading>(SpreadChannels.All).Read(
                payload,
                where,
                pack => new SpreadingMeasured(pack)
            ),
            TelemetryStream.Store => new SenmlPack<LevelReading>(LevelChannels.All).Read(
                payload,
                where,
                pack => new StorageLevelMeasured(pack)
            ),
            TelemetryStream.Weather => new SenmlPack<WeatherReading>(WeatherChannels.All).Read(
                payload,
                where,
                pack => new WeatherMeasured(pack)
            ),
            _ => throw new ArgumentOutOfRangeException(nameof(where)),
        };

    /// <summary>A content type without its parameters; media types are compared without regard to case (RFC 2045 section 5.1).</summary>
    private static string MediaType(string? contentType)
    {
        var type = contentType.AsSpan();
        var parameters = type.IndexOf(';');
        return (parameters < 0 ? type : type[..parameters]).Trim().ToString().ToLowerInvariant();
    }
}
