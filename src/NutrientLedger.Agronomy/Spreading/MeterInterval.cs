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

    /// <summary>
    /// A total may be some time old when it is sent, so an interval can hold what ran in a second (common practice, no
    /// source).
    /// </summary>
    private const long ShortestMilliseconds = 1_000;

    /// <summary>
    /// What ran in longer than an hour between two readings in a row is bounded as for an hour. So no number of
    /// readings that a hub can take makes a sum of volumes overflow: 9.2 · 10¹⁸ mL are 5 · 10⁹ times as much.
    /// </summary>
    private const long LongestMilliseconds = 3_600_000;

    public static long? VolumeMillilitres(
        long? totalA,
        long? totalB,
        int? flowA,
        int? flowB,
        long dtMilliseconds,
        long? modulusMillilitres
    ) =>
        totalA is { } from && totalB is { } to
            ? AcrossMillilitres(from, to, Math.Min(dtMilliseconds, LongestMilliseconds), modulusMillilitres)
        : flowA is { } first && flowB is { } second ? ByFlow(first, second, dtMilliseconds)
        : null;

    /// <summary>
    /// What a total rose by in some time, however long. One that fell has started again at its modulus. A rise or
    /// roll-over of more than could flow is neither: a sample was dropped or the meter reset. Then it is null.
    /// </summary>
    public static long? AcrossMillilitres(long from, long to, long dtMilliseconds, long? modulusMillilitres)
    {
        var rise = to < from ? to - from + (modulusMillilitres ?? 0) : to - from;
        var most = FastestMillilitresPerMillisecond * Math.Max(dtMilliseconds, ShortestMilliseconds);
        return rise >= 0 && rise <= most ? rise : null;
    }

    // The mean of both flows (mL/s) for the time (ms), rounded to the nearest whole mL.
    private static long? ByFlow(int first, int second, long dtMilliseconds) =>
        dtMilliseconds is > 0 and <= LongestFlowMilliseconds
            ? FloorDivision.Divide(((long)first + second) * dtMilliseconds + 1000, 2000)
            : null;
}
