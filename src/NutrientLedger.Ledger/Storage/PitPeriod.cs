using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Ledger.Weather;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// A pit from one moment up to, but not including, another (ms since 1970), with everything that was posted and
/// measured for it. Interruptions are those of all meters; null where they are not known, as of an earlier position.
/// </summary>
public sealed record PitPeriod(
    FarmConfiguration Configuration,
    PitRegistered Pit,
    long From,
    long Until,
    IReadOnlyCollection<KeyValuePair<LineKey, LineAmounts>> Lines,
    CleanedLevels Levels,
    IReadOnlyCollection<RainTotal> Rain,
    IReadOnlyCollection<MeterInterruption>? Interruptions
)
{
    private const double DayMilliseconds = 86_400_000;

    public double Days => (Until - From) / DayMilliseconds;

    /// <summary>The lines of hours that begin in the period and were fed from this pit.</summary>
    public IEnumerable<KeyValuePair<LineKey, LineAmounts>> Drawn =>
        Lines.Where(line => line.Key.PitId == Pit.PitId && Holds(line.Key.HourStartSeconds * 1000));

    /// <summary>What was recorded of what surrounds the pit, in force at the period's beginning.</summary>
    public PitSurroundingsSet? Surroundings =>
        Configuration
            .Recorded<PitSurroundingsSet>()
            .Where(set => set.PitId == Pit.PitId && set.ValidFrom.ToUnixTimeMilliseconds() <= From)
            .OrderBy(set => set.ValidFrom)
            .LastOrDefault();

    public bool Holds(DateTimeOffset moment) => Holds(moment.ToUnixTimeMilliseconds());

    public bool Holds(long milliseconds) => milliseconds >= From && milliseconds < Until;

    /// <summary>The milliseconds that a stretch of time shares with the period.</summary>
    public long Shared(long from, long until) => Math.Max(0, Math.Min(Until, until) - Math.Max(From, from));

    /// <summary>The milliseconds that a stretch of time shares with the period.</summary>
    public long Shared(DateTimeOffset from, DateTimeOffset until) =>
        Shared(from.ToUnixTimeMilliseconds(), until.ToUnixTimeMilliseconds());

    /// <summary>The part of a stretch of time that lies in the period, 0 to 1.</summary>
    public double Share(DateTimeOffset from, DateTimeOffset until) =>
        Shared(from, until) / (until - from).TotalMilliseconds;

    /// <summary>Content at a level of any fraction of a millimetre, in mL.</summary>
    public double MillilitresAt(double millimetres)
    {
        var (below, part) = ((int)Math.Floor(millimetres), millimetres - Math.Floor(millimetres));
        return 1e6 * ((1 - part) * Pit.Shape.VolumeCubicMetres(below) + part * Pit.Shape.VolumeCubicMetres(below + 1));
    }
}
