using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Spreading;

/// <summary>
/// A reading at the pump: the meter's running total in mL and the content of one analyte in mg/L (or dry matter in
/// parts per million). The content applies until the next reading. A missing content is unknown, never 0.
/// </summary>
public readonly record struct PumpedContent(long TotalMillilitres, int? Content);

/// <summary>What landed: mL × content (with mg/L, whole micrograms), and the mL of unknown content.</summary>
public readonly record struct LandedContent(Int128 WeightedSum, long MillilitresWithout)
{
    public static LandedContent operator +(LandedContent left, LandedContent right) =>
        new(left.WeightedSum + right.WeightedSum, left.MillilitresWithout + right.MillilitresWithout);
}

/// <summary>
/// Relates content measured at the pump to the place where it lands. A full hose moves as one column. What leaves the
/// tool while the pump's total runs from a to b passed the pump between a − V and b − V. V is the hose's volume. Mixing
/// along the hose is ignored. All numbers are whole: what is pumped lands once, to the last microgram.
/// </summary>
public sealed class PlugFlow
{
    private readonly ImmutableArray<PumpedContent> pumped;
    private readonly long hoseMillilitres;

    /// <param name="pumped">Readings whose totals never fall. Start a new instance after a meter reset.</param>
    /// <param name="hoseMillilitres">The volume of the full hose, 0 or more.</param>
    /// <exception cref="ArgumentException">A total falls, or the hose volume is negative.</exception>
    public PlugFlow(ImmutableArray<PumpedContent> pumped, long hoseMillilitres)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(hoseMillilitres);
        for (var reading = 1; reading < pumped.Length; reading++)
        {
            if (pumped[reading].TotalMillilitres < pumped[reading - 1].TotalMillilitres)
                throw new ArgumentException(
                    $"The pump's total falls from {pumped[reading - 1].TotalMillilitres} mL to {pumped[reading].TotalMillilitres} mL; start a new series after a meter reset."
                );
        }
        (this.pumped, this.hoseMillilitres) = (pumped, hoseMillilitres);
    }

    /// <summary>
    /// What left the tool between two totals of the pump, the first not above the second. Liquid in the hose before the
    /// first reading, or pumped after the last, has no known content.
    /// </summary>
    public LandedContent Landed(long fromMillilitres, long toMillilitres)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(fromMillilitres, toMillilitres);
        var (from, to) = (fromMillilitres - hoseMillilitres, toMillilitres - hoseMillilitres);
        var (sum, known) = ((Int128)0, 0L);
        for (var reading = FirstBefore(from); reading < pumped.Length - 1; reading++)
        {
            var (start, content) = pumped[reading];
            if (start >= to)
                break;
            var shared = Math.Min(to, pumped[reading + 1].TotalMillilitres) - Math.Max(from, start);
            if (shared <= 0 || content is not { } measured)
                continue;
            (sum, known) = (sum + ((Int128)shared * measured), known + shared);
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
