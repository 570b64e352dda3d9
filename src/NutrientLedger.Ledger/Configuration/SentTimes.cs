using NutrientLedger.Journal;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// Measured times as a device sent them, from one moment up to, not including, another (ms since 1970, UTC).
/// </summary>
public readonly record struct SentTimes(string EquipmentId, long FromMilliseconds, long UntilMilliseconds)
{
    /// <summary>
    /// The sent times of all readings of a device that count as measured in a period. They are those of the period, and
    /// the period moved back by each shift that a person decided.
    /// </summary>
    public static IEnumerable<SentTimes> Of(
        FarmConfiguration configuration,
        TelemetryStream stream,
        string equipmentId,
        long fromMilliseconds,
        long untilMilliseconds
    ) =>
        configuration
            .Shifts(equipmentId, stream)
            .Prepend(0)
            .Select(shift => new SentTimes(
                equipmentId,
                Minus(fromMilliseconds, shift),
                Minus(untilMilliseconds, shift)
            ));

    private static long Minus(long milliseconds, long shift) =>
        (long)Int128.Clamp((Int128)milliseconds - shift, long.MinValue, long.MaxValue);
}
