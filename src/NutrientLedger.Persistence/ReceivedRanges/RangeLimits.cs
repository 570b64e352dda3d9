namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>What numbers can be real.</summary>
public static class RangeLimits
{
    /// <summary>The most runs kept: a sender with more holes than this in one boot is not numbering its readings.</summary>
    public const int RangesMax = 2000;

    /// <summary>The furthest a number may lie beyond the highest one seen: three years of a reading a second.</summary>
    public const long JumpMax = 100_000_000;
}
