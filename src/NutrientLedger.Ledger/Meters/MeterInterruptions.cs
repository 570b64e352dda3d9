using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Meters;

/// <summary>
/// Finds what meters counted between readings that were received. What readings say one after another is posted; this
/// is the rest, so that nothing a meter counted vanishes. Rules: this room's README, "Interruptions".
/// </summary>
public static class MeterInterruptions
{
    /// <summary>
    /// The interruptions of all registered applicators, by applicator and in the order of time.
    /// </summary>
    /// <param name="configuration">The farm. Without a calendar it has none.</param>
    /// <param name="runs">All received runs of its applicators, in any order.</param>
    /// <param name="now">The present. A time too far beyond it is questionable.</param>
    public static ImmutableArray<MeterInterruption> Of(
        FarmConfiguration configuration,
        IEnumerable<ReceivedRun> runs,
        DateTimeOffset now
    )
    {
        if (configuration.Calendar is not { } calendar)
            return [];
        var sound = QuestionableTime.SoundTimes(now, calendar);
        return
        [
            .. from run in runs
            group new CountedRun(configuration, run, sound) by run.ApplicatorId into meter
            where configuration.Applicator(meter.Key) is not null
            orderby meter.Key
            from interruption in Between(configuration, calendar, meter.Key, InOrder(meter))
            select interruption,
        ];
    }

    // Within a boot the numbers give the order, whatever the clock says. Boots follow in the order of their last time,
    // because the clock of a device that has just started may not be set yet.
    private static IReadOnlyList<CountedRun> InOrder(IEnumerable<CountedRun> runs) =>
        [
            .. runs.GroupBy(run => run.Boot)
                .Select(boot => boot.OrderBy(run => run.First.Seq).ToArray())
                .OrderBy(boot => boot.LastOrDefault(run => run.LastCounts, boot[^1]).Last.AtMilliseconds)
                .ThenBy(boot => boot[0].Boot)
                .SelectMany(boot => boot),
        ];

    private static IEnumerable<MeterInterruption> Between(
        FarmConfiguration configuration,
        FarmCalendar calendar,
        string applicatorId,
        IReadOnlyList<CountedRun> runs
    )
    {
        for (var i = 1; i < runs.Count; i++)
        {
            var (before, after) = (runs[i - 1], runs[i]);
            // The totals to either side. A run of one reading has no other end, so the run beyond it is asked.
            var earlier = before.IsSingle && i > 1 ? runs[i - 2].Last : before.First;
            var later = after.IsSingle && i + 1 < runs.Count ? runs[i + 1].First : after.Last;
            var between = new MeterInterruption(
                applicatorId,
                before.Last,
                after.First,
                before.LastCounts && after.FirstCounts
                    ? Difference(
                        earlier.TotalMillilitres,
                        before.Last,
                        after.First,
                        later.TotalMillilitres,
                        configuration.Applicator(applicatorId)!.MeterModulusMillilitres
                    )
                    : new(TotalChange.NotCounted, null, 0),
                0,
                0,
                []
            );
            yield return between with
            {
                Season = calendar.SeasonAt(between.FromMilliseconds),
                LastSeason = calendar.SeasonAt(between.UntilMilliseconds),
                Pits = Pits(configuration, between),
            };
        }
    }

    private static TotalDifference Difference(
        long? earlier,
        MeterEnd before,
        MeterEnd after,
        long? later,
        long? modulusMillilitres
    )
    {
        var difference = TotalDifference.Of(
            before.TotalMillilitres,
            after.TotalMillilitres,
            after.AtMilliseconds - before.AtMilliseconds,
            modulusMillilitres
        );
        return
            difference.Change != TotalChange.NoTotal
            && (
                IsSpike(earlier, before.TotalMillilitres, after.TotalMillilitres)
                || IsSpike(before.TotalMillilitres, after.TotalMillilitres, later)
            )
            ? difference.AsSpike()
            : difference;
    }

    /// <summary>Whether a total lies outside two around it that rose.</summary>
    private static bool IsSpike(long? earlier, long? total, long? later) =>
        earlier <= later && (total < earlier || total > later);

    private static ImmutableArray<string> Pits(FarmConfiguration configuration, MeterInterruption between)
    {
        var sources = configuration.Index.Sources.GetValueOrDefault(between.ApplicatorId);
        IEnumerable<string> changed =
            sources
                ?.Changes.Where(change =>
                    change.FromMilliseconds > between.FromMilliseconds
                    && change.FromMilliseconds < between.UntilMilliseconds
                )
                .Select(change => change.InForce.PitId)
            ?? [];
        return [.. changed.Prepend(sources?.At(between.FromMilliseconds)?.PitId ?? "").Distinct()];
    }

    /// <summary>A run with all decisions applied to its ends. One that does not count keeps its time.</summary>
    private readonly record struct CountedRun(
        long Boot,
        bool IsSingle,
        MeterEnd First,
        bool FirstCounts,
        MeterEnd Last,
        bool LastCounts
    )
    {
        public CountedRun(FarmConfiguration configuration, ReceivedRun run, QuestionableTime.Times sound)
            : this(run.Boot, run.FirstSeq == run.LastSeq, default, false, default, false)
        {
            var decided = configuration.Decided(run.ApplicatorId, TelemetryStream.Spread, run.Boot);
            (First, FirstCounts) = End(run.FirstSeq, run.First);
            (Last, LastCounts) = End(run.LastSeq, run.Last);

            (MeterEnd, bool) End(long seq, in Journal.Spreading.SpreadReading sent) =>
                decided[seq].Read(sent, sound) is { } reading
                    ? (new(run.Boot, seq, reading.MeasuredAtMilliseconds, reading.TotalMillilitres), true)
                    : (new(run.Boot, seq, sent.MeasuredAtMilliseconds, null), false);
        }
    }
}
