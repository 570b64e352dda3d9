using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Fields;

/// <summary>
/// An amount by the coefficients of a factor set (elemental, over the whole field), with the coefficients used. The
/// share (0…1) is that of the spread volume with an amount, null when none was spread. With a coefficient missing there
/// is no amount, and the reason names it.
/// </summary>
public sealed record AvailableAmount(
    double? Kilograms,
    bool AtLeast,
    double? ShareOfVolume,
    ImmutableArray<UsedCoefficient> Coefficients,
    Unavailable? Unavailable
)
{
    /// <summary>No amount at all, for a reason that lies outside the lines.</summary>
    public static AvailableAmount None(UnavailableReason reason) =>
        new(null, AtLeast: false, null, [], Unavailable.For(reason));
}

/// <summary>Adds up the amounts of a set for groups of lines.</summary>
internal sealed class AvailableSum
{
    // A set that uses dry matter rejects line by line. More reasons than these add nothing.
    private const int ReasonsMax = 3;

    private readonly List<UsedCoefficient> coefficients = [];
    private readonly List<UnavailableReason> reasons = [];
    private double kilograms;
    private long volume;
    private long calculated;
    private bool atLeast;

    public void Add(LineGroup lines, AnalyteSums measured, TracedValue<double> answer)
    {
        Note(answer.Used);
        if (!answer.IsComplete)
        {
            AddUnavailable(lines, [.. answer.Missing.Select(lines.Explain)]);
            return;
        }
        kilograms += answer.Value;
        volume += lines.Sums.VolumeMillilitres;
        calculated += lines.Sums.VolumeMillilitres - measured.MillilitresWithout;
        atLeast |= measured.MillilitresWithout > 0;
    }

    public void AddUnavailable(LineGroup lines, params IReadOnlyCollection<UnavailableReason> added)
    {
        volume += lines.Sums.VolumeMillilitres;
        reasons.AddRange(added.Where(reason => !reasons.Contains(reason)));
    }

    public AvailableAmount Close() =>
        new(
            reasons.Count == 0 ? kilograms : null,
            reasons.Count == 0 && atLeast,
            volume == 0 ? null : (double)calculated / volume,
            [.. coefficients],
            reasons.Count == 0 ? null : new([.. reasons.Take(ReasonsMax)], Math.Max(0, reasons.Count - ReasonsMax))
        );

    private void Note(IEnumerable<UsedCoefficient> used) =>
        coefficients.AddRange(used.Where(coefficient => !coefficients.Contains(coefficient)).ToArray());
}
