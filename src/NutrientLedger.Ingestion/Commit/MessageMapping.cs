using NutrientLedger.Persistence.Messages;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>Maps a decoded message to what the journal appends.</summary>
internal static class MessageMapping
{
    public static DecodedMessage Of(
        DecodeResult.Decoded decoded,
        string topic,
        ReadOnlyMemory<byte> payload,
        string? contentType
    ) =>
        new(
            decoded.FarmId,
            decoded.Event,
            topic,
            payload,
            contentType,
            PreviousBoot: decoded.PreviousBoot is { } previous ? new(previous.Boot, previous.LastSeq) : null,
            LeftOut: new(decoded.UnknownRecords, decoded.ValuesLeftOut)
        );
}
