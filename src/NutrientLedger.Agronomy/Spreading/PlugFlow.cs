using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Spreading;

/// <summary>
/// A reading at the pump: the meter's running total in mL and one analyte's content in mg/L (or dry matter in parts per
/// million), which holds until the next reading. A missing content is unknown, never 0.
/// </summary>
public readonly record struct PumpedContent(long TotalMillilitres, int? Content);

/// <summary>
/// What landed: mL × content (with mg/L whole micrograms), and the mL whose content nobody measured.
/// </summary>
public readonly record struct LandedContent(long WeightedSum, long MillilitresWithout)
{
    public static LandedContent operator +(LandedContent left, LandedContent right) =>
        new(left.WeightedSum + right.WeightedSum, left.MillilitresWithout + right.MillilitresWithout);
}

/// <summary>
/// Content measured at the pump, met with the place where it lands. A full hose moves as one column, so what leaves the tool
/// while the pump's total runs from a to b passed the pump while it ran from a − V to b − V, V being what the hose holds. Mixing
/// along the hose is left out. Whole numbers throughout: what is pumped lands once, to the last microgram.
/// </summary>
public sealed class PlugFlow
{
    private readonly ImmutableArray<PumpedContent> pumped;
    private readonly long hoseMillilitres;

    /// <param name="pumped">Readings whose totals never fall; after a meter's reset begin anew.</param>
    /// <param name="hoseMillilitres">What the full hose holds, 0 or more.</param>
    /// <exception cref="ArgumentException">A total falls, or the hose holds less than nothing.</exception>
    public PlugFlow(ImmutableArray<PumpedContent> pumped, long hoseMillilitres)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(hoseMillilitres);
        for (var reading = 1; reading < pumped.Length; reading++)
        {
            if (pumped[reading].TotalMillilitres < pumped[reading - 1].TotalMillilitres)
                throw new ArgumentException(
                    $"The pump's total falls from {pumped[reading - 1].TotalMillilitres} mL to {pumped[reading].TotalMillilitres} mL; begin anew after a reset."
                );
        }
        (this.pumped, this.hoseMillilitres) = (pumped, hoseMillilitres);
    }

    /// <summary>
    /// What left the tool while the pump's total ran between two figures, the first not above the second. What was in the hose
    /// before the first reading, and what passed after the last one, has no content.
    /// </summary>
    public LandedContent Landed(long fromMillilitres, long toMillilitres)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(fromMillilitres, toMillilitres);
        var (from, to) = (fromMillilitres - hoseMillilitres, toMillilitres - hoseMillilitres);
        var (sum, known) = (0L, 0L);
        for (var reading = FirstBefore(from); reading < pumped.Length - 1; reading++)
        {
            var (start, content) = pumped[reading];
            if (start >= to)
                break;
            var shared = Math.Min(to, pumped[reading + 1].TotalMillilitres) - Math.Max(from, start);
            if (shared <= 0 || content is not { } measured)
                continue;
            (sum, known) = (sum + shared * measured, known + shared);
        }
        return new(sum, to - from - known);
    }

    // The last reading at or below a total, or the first of all.
    private int FirstBefore(long total)
    {
        var (low, high) = (0, pumped.Length);
        while (high - low > 1)
        {
            var middle = (low + high) / 2;
            (low, high) = pumped[middle].TotalMillilitres <= total ? (middle, high) : (low, middle);
        }
        return low;
    }
}
