namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>The limits of plausible numbers.</summary>
internal static class RangeLimits
{
    /// <summary>
    /// The most ranges kept. A device with more gaps than this in one boot is not numbering its readings.
    /// </summary>
    public const int RangesMax = 2000;

    /// <summary>The furthest a number may lie beyond the highest received: three years of a reading a second.</summary>
    public const long JumpMax = 100_000_000;
}
