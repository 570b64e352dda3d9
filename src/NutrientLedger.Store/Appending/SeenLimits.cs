namespace NutrientLedger.Store;

/// <summary>What numbers can be real.</summary>
public static class SeenLimits
{
    /// <summary>The most runs kept: a sender with more holes than this in one boot is not numbering its readings.</summary>
    public const int RunsMax = 2000;

    /// <summary>The furthest a number may lie beyond the highest one seen: three years of a reading a second.</summary>
    public const long JumpMax = 100_000_000;
}
