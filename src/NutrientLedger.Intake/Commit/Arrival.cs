using NutrientLedger.Store;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Intake.Commit;

/// <summary>Hands a message that was read to the store.</summary>
internal static class Arrival
{
    public static ArrivedPack Of(
        MessageFate.Decoded decoded,
        string topic,
        ReadOnlyMemory<byte> payload,
        string? contentType
    ) =>
        new(
            decoded.FarmId,
            decoded.Entry,
            topic,
            payload,
            contentType,
            Former: decoded.Former is { } former ? new(former.Boot, former.LastSeq) : null
        );
}
