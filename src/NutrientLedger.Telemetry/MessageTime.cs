namespace NutrientLedger.Telemetry;

/// <summary>
/// The times a SenML record may have: seconds since 1970 (UTC), from 1990 to 2099. They are kept as whole milliseconds.
/// </summary>
internal static class MessageTime
{
    // 1990-01-01 and 2100-01-01, 00:00 UTC.
    private const double Earliest = 631_152_000;
    private const double Beyond = 4_102_444_800;

    public static bool Allows(double seconds) => seconds is >= Earliest and < Beyond;

    /// <summary>Whole milliseconds since 1970 (UTC). The time is rounded only here, half away from zero.</summary>
    public static long Milliseconds(double seconds) => (long)Math.Round(seconds * 1000, MidpointRounding.AwayFromZero);
}
