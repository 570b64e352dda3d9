using System.Collections.Immutable;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Ledger.Weather;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// A time with its reconciliation. One that is not over yet runs up to now; it gives no verdict, because readings and
/// records of it may still arrive.
/// </summary>
public record ReconciledSpan(ReconciledPitPeriod Statement, bool IsOver)
{
    /// <summary>Whether it closes; nothing while it is not over.</summary>
    public PitClosure? Closure => IsOver ? Statement.Reconciliation.Closure : null;

    /// <summary>The chance (0 to 1) of differences as large; null while it is not over or cannot be judged.</summary>
    public double? Chance => Closure is null or PitClosure.CannotTell ? null : Statement.Reconciliation.Balance?.Chance;
}

/// <summary>One day of farm time.</summary>
public sealed record ReconciledPitDay(DateOnly Day, ReconciledPitPeriod Statement, bool IsOver)
    : ReconciledSpan(Statement, IsOver);

/// <summary>
/// A pit from one farm day up to, but not including, another: each day that has begun, and the whole. Up to when it was
/// calculated is in milliseconds since 1970.
/// </summary>
public sealed record ReconciledDays(
    ImmutableArray<ReconciledPitDay> Days,
    ReconciledSpan Whole,
    long CalculatedToMilliseconds
)
{
    /// <summary>
    /// Levels and rain of half a day to either side are wanted too, in milliseconds: they let the first and last moment
    /// be read between two readings.
    /// </summary>
    public const long AroundMilliseconds = 43_200_000;

    /// <summary>
    /// Reconciles each day and the whole, from what was posted and measured in and around them. Now (milliseconds since
    /// 1970) must not be before the first day: what has not happened yet is nobody's error. Interruptions that are not
    /// known are null.
    /// </summary>
    public static ReconciledDays Of(
        FarmConfiguration configuration,
        PitRegistered pit,
        DateOnly from,
        DateOnly to,
        long now,
        IReadOnlyCollection<KeyValuePair<LineKey, LineAmounts>> lines,
        CleanedLevels levels,
        IReadOnlyCollection<RainTotal> rain,
        IReadOnlyCollection<MeterInterruption>? interruptions
    )
    {
        var calendar = configuration.Calendar!;
        var days = Enumerable
            .Range(0, to.DayNumber - from.DayNumber)
            .Select(from.AddDays)
            .TakeWhile(day => calendar.StartOf(day) < now)
            .Select(day =>
            {
                var (begins, ends) = (calendar.StartOf(day), calendar.StartOf(day.AddDays(1)));
                return new ReconciledPitDay(day, Statement(begins, ends), ends <= now);
            });
        var (start, stop) = (calendar.StartOf(from), calendar.StartOf(to));
        return new([.. days], new(Statement(start, stop), stop <= now), Math.Min(stop, now));

        ReconciledPitPeriod Statement(long begins, long ends) =>
            ReconciledPitPeriod.Of(
                new(configuration, pit, begins, Math.Min(ends, now), lines, levels, rain, interruptions)
            );
    }
}
