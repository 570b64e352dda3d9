using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// What people decided about the readings of one device, stream and boot. It is kept as ranges of numbers that do not
/// overlap. A reading's decision is found by binary search. Voids add up. Of decisions about the clock the one recorded
/// last holds, and so does the last void of totals.
/// </summary>
public sealed class DecidedReadings
{
    public static readonly DecidedReadings Nothing = new([], []);

    // Range i goes from starts[i] to just before starts[i + 1]. Before the first one nothing is decided.
    private readonly long[] starts;

    private readonly ReadingDecision[] decisions;

    private readonly ReadingsVoided?[] voidTotals;

    private DecidedReadings(
        IReadOnlyCollection<ReadingsVoided> voids,
        IReadOnlyCollection<QuestionableTimeDecided> timeDecisions
    )
    {
        // A range that ends at the last possible number has nothing after it. All others end where their next number
        // begins.
        IEnumerable<long> edges =
        [
            .. voids.SelectMany(readings => Edges(readings.FirstSeq, readings.LastSeq)),
            .. timeDecisions.SelectMany(decision => Edges(decision.FirstSeq, decision.LastSeq)),
        ];
        starts = [.. edges.Distinct().Order()];
        decisions = Array.ConvertAll(starts, seq => About(seq, voids, timeDecisions));
        voidTotals = Array.ConvertAll(
            starts,
            seq => voids.LastOrDefault(readings => readings.Part == VoidedPart.Total && Holds(readings, seq))
        );
    }

    public bool IsEmpty => starts.Length == 0;

    /// <summary>By how many milliseconds readings are shifted, each amount once. Without 0.</summary>
    public IEnumerable<long> Shifts =>
        decisions.Select(decision => decision.ShiftMilliseconds).Where(shift => shift != 0).Distinct();

    /// <summary>What was decided about the reading with this number.</summary>
    public ReadingDecision this[long seq]
    {
        get
        {
            var found = Array.BinarySearch(starts, seq);
            var last = found >= 0 ? found : ~found - 1;
            return last < 0 ? default
                : voidTotals[last] is { Across: { } across } @void
                    ? decisions[last] with
                    {
                        TotalInstead = TotalAt(seq, @void, across),
                    }
                : decisions[last];
        }
    }

    /// <summary>
    /// Groups all decisions of a farm by device, stream and boot. Both lists are in the order of the journal.
    /// </summary>
    internal static ImmutableDictionary<
        (string EquipmentId, TelemetryStream Stream, long Boot),
        DecidedReadings
    > BySeries(IEnumerable<ReadingsVoided> voids, IEnumerable<QuestionableTimeDecided> timeDecisions)
    {
        var voided = voids.ToLookup(readings => (readings.EquipmentId, readings.Stream, readings.Boot));
        var decided = timeDecisions.ToLookup(decision => (decision.EquipmentId, decision.Stream, decision.Boot));
        return voided
            .Select(same => same.Key)
            .Union(decided.Select(same => same.Key))
            .ToImmutableDictionary(
                series => series,
                series => new DecidedReadings([.. voided[series]], [.. decided[series]])
            );
    }

    private static IEnumerable<long> Edges(long first, long last) =>
        last == long.MaxValue ? [first] : [first, last + 1];

    private static bool Holds(ReadingsVoided readings, long seq) => readings.FirstSeq <= seq && seq <= readings.LastSeq;

    private static long TotalAt(long seq, ReadingsVoided readings, MeteredAcross across) =>
        across.TotalBeforeMillilitres
        + (long)(
            (Int128)across.RanMillilitres
            * (seq - readings.FirstSeq + 1)
            / ((Int128)readings.LastSeq - readings.FirstSeq + 2)
        );

    private static ReadingDecision About(
        long seq,
        IReadOnlyCollection<ReadingsVoided> voids,
        IReadOnlyCollection<QuestionableTimeDecided> timeDecisions
    )
    {
        var clock = timeDecisions.LastOrDefault(decision => decision.FirstSeq <= seq && seq <= decision.LastSeq);
        bool IsVoid(VoidedPart part) => voids.Any(readings => readings.Part == part && Holds(readings, seq));
        return new(
            clock?.Decision,
            clock is { Decision: TimeDecision.Shifted } ? clock.ShiftMilliseconds : 0,
            IsVoid(VoidedPart.Reading),
            IsVoid(VoidedPart.Composition),
            IsVoid(VoidedPart.Level)
        );
    }
}
