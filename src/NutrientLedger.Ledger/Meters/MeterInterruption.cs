using System.Collections.Immutable;

namespace NutrientLedger.Ledger.Meters;

/// <summary>
/// A reading beside an interruption: its numbers, the time for which it counts (ms since 1970) and its total in mL.
/// </summary>
public readonly record struct MeterEnd(long Boot, long Seq, long AtMilliseconds, long? TotalMillilitres);

/// <summary>
/// What lies between two readings of an applicator's meter that were received, with none received between them: missing
/// numbers of a boot, or the time between two boots. It is never posted. When readings arrive it shrinks by what is
/// posted then.
/// </summary>
/// <param name="ApplicatorId">The applicator.</param>
/// <param name="Before">The reading before it.</param>
/// <param name="After">The reading after it.</param>
/// <param name="Difference">What the two totals say.</param>
/// <param name="Season">The season in which it begins. What ran counts there.</param>
/// <param name="LastSeason">The season in which it ends.</param>
/// <param name="Pits">
/// The sources in force from its beginning to its end; an empty id where none was. What ran counts for the first one.
/// </param>
public sealed record MeterInterruption(
    string ApplicatorId,
    MeterEnd Before,
    MeterEnd After,
    TotalDifference Difference,
    int Season,
    int LastSeason,
    ImmutableArray<string> Pits
)
{
    /// <summary>What ran, in mL. Null where the totals do not show it.</summary>
    public long? Millilitres => Difference.Millilitres;

    /// <summary>Whether numbers of one boot are missing. Otherwise the device started again meanwhile.</summary>
    public bool IsGap => Before.Boot == After.Boot;

    /// <summary>Its earlier end. A clock that was set back makes the reading after it the earlier one.</summary>
    public long FromMilliseconds => Math.Min(Before.AtMilliseconds, After.AtMilliseconds);

    /// <summary>Its later end.</summary>
    public long UntilMilliseconds => Math.Max(Before.AtMilliseconds, After.AtMilliseconds);

    /// <summary>Whether all of it came from one pit, or without a recorded source from none.</summary>
    public bool HasOnePit => Pits.Length == 1;

    /// <summary>The part of its time (0 to 1) from one moment up to, not including, another.</summary>
    public double Share(long from, long until)
    {
        var (begins, ends) = (FromMilliseconds, UntilMilliseconds);
        return begins == ends
            ? begins >= from && begins < until
                ? 1
                : 0
            : Math.Max(0, Math.Min(until, ends) - Math.Max(from, begins)) / (double)(ends - begins);
    }
}
