namespace NutrientLedger.Agronomy.Spreading;

/// <summary>
/// Whether two readings are near enough to locate the manure between them: at most 10 s apart and at most 15 m/s. Both
/// limits are common practice, no source.
/// </summary>
public static class Placement
{
    public const long LongestMilliseconds = 10_000;

    public const double FastestMetresPerSecond = 15;

    public static bool IsKnown(long dtMilliseconds, double distanceMetres) =>
        dtMilliseconds is > 0 and <= LongestMilliseconds
        && distanceMetres * 1000 <= FastestMetresPerSecond * dtMilliseconds;
}
