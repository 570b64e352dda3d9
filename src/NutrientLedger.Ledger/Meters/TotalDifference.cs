using NutrientLedger.Agronomy.Spreading;

namespace NutrientLedger.Ledger.Meters;

/// <summary>
/// What a difference of two totals says, in mL: the volume that ran, unknown where it does not show it, and the step of
/// the total that no volume made. Volume (0 if unknown) and step together are the difference. A step is no volume.
/// </summary>
public readonly record struct TotalDifference(TotalChange Change, long? Millilitres, long StepMillilitres)
{
    /// <summary>
    /// However long readings did not come, a rise counts up to what can run in a day, 43,200 m³ (common practice, no
    /// source).
    /// </summary>
    private const long RiseMilliseconds = 86_400_000;

    /// <summary>
    /// A fall counts as a roll-over only up to what can run in an hour, 1,800 m³. A meter that was reset overnight
    /// would seem to have rolled over else (common practice, no source).
    /// </summary>
    private const long RollOverMilliseconds = 3_600_000;

    /// <summary>
    /// The difference between two totals, some milliseconds apart. A total that fell is unfolded by the modulus, as
    /// counters that wrap are: the difference modulo m (common practice, no source).
    /// </summary>
    public static TotalDifference Of(long? from, long? to, long dtMilliseconds, long? modulusMillilitres)
    {
        if (from is not { } before || to is not { } after)
            return new(TotalChange.NoTotal, null, 0);
        var hasFallen = after < before;
        var longest = hasFallen ? RollOverMilliseconds : RiseMilliseconds;
        var ran = MeterInterval.AcrossMillilitres(before, after, Math.Min(dtMilliseconds, longest), modulusMillilitres);
        var change = (hasFallen, ran) switch
        {
            (false, not null) => TotalChange.Rise,
            (true, not null) => TotalChange.RollOver,
            (true, null) => TotalChange.Fall,
            (false, null) => TotalChange.Leap,
        };
        return new(change, ran, after - before - (ran ?? 0));
    }

    /// <summary>The same step where a spike made it: nothing shows what ran.</summary>
    internal TotalDifference AsSpike() => new(TotalChange.Spike, null, StepMillilitres + (Millilitres ?? 0));
}
