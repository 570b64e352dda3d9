using NutrientLedger.Persistence.Messages;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>Hands a message that was read to the store.</summary>
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
            PreviousBoot: decoded.PreviousBoot is { } former ? new(former.Boot, former.LastSeq) : null
        );
}
