using NutrientLedger.Journal;

namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>
/// How far a boot of a machine's stream is stored: all numbers from 1 to <paramref name="UpTo"/> (0 when number 1 is
/// missing), and nothing above <paramref name="Highest"/>. Between the two some are missing.
/// </summary>
public sealed record AcknowledgementWatermark(
    FarmDevice Device,
    TelemetryStream Stream,
    long Boot,
    long UpTo,
    long Highest
)
{
    /// <summary>
    /// How many boots of a stream are acknowledged, the newest ones. An older boot has nothing to send any more.
    /// </summary>
    public const int BootsMax = 8;
}
