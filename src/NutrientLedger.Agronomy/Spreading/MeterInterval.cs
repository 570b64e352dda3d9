namespace NutrientLedger.Agronomy.Spreading;

/// <summary>
/// The volume through a flow meter between two readings, in mL. It comes from the running totals, or from the flow
/// where a total is missing. Nothing is guessed: without either, the volume is unknown (null).
/// </summary>
public static class MeterInterval
{
    /// <summary>Longest time between readings, in ms, over which flow may replace the totals.</summary>
    public const long LongestFlowMilliseconds = 10_000;

    /// <summary>
    /// Half a cubic metre a second, in mL per ms: more than any meter on an applicator passes (common practice, no
    /// source).
    /// </summary>
    private const long FastestMillilitresPerMillisecond = 500;

    public static long? VolumeMillilitres(
        long? totalA,
        long? totalB,
        int? flowA,
        int? flowB,
        long dtMilliseconds,
        long? modulusMillilitres
    ) =>
        totalA is { } from && totalB is { } to ? ByTotals(from, to, dtMilliseconds, modulusMillilitres)
        : flowA is { } first && flowB is { } second ? ByFlow(first, second, dtMilliseconds)
        : null;

    private static long? ByTotals(long from, long to, long dtMilliseconds, long? modulusMillilitres)
    {
        var difference = to - from;
        if (difference >= 0)
            return difference;
        if (modulusMillilitres is not { } modulus || dtMilliseconds <= 0)
            return null;

        // A falling total is a roll-over only if that much could have flowed in the time. Otherwise the meter was
        // reset.
        var rolledOver = difference + modulus;
        return rolledOver >= 0 && rolledOver <= FastestMillilitresPerMillisecond * dtMilliseconds ? rolledOver : null;
    }

    // The mean of both flows (mL/s) for the time (ms), rounded to the nearest whole mL.
    private static long? ByFlow(int first, int second, long dtMilliseconds) =>
        dtMilliseconds is > 0 and <= LongestFlowMilliseconds
            ? FloorDivision.Divide(((long)first + second) * dtMilliseconds + 1000, 2000)
            : null;
}
