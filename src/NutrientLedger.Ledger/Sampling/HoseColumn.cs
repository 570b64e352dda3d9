using System.Collections.Immutable;
using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// Pairs what a sensor measured with what left an applicator. The content measured at the pump at cumulated volume v
/// leaves the applicator at v + the hose's volume (<see cref="PlugFlow"/>). Intervals are gathered in any order. They
/// are joined by their numbers only on demand, so that cutting and order of the batches make no difference. The source
/// for liquid in a full line moving as one column is about flow meters (University of California, seen). That contents
/// stay separate along the hose is an idealisation: common practice, no source.
/// </summary>
internal sealed class HoseColumn(FarmConfiguration configuration, string sensorId)
{
    private readonly Dictionary<(string EquipmentId, long Boot), SortedDictionary<long, Metered>> gathered = [];

    /// <summary>
    /// Adds two neighbouring readings, the number of the first, the volume between them (null where unknown) and the
    /// content of the first.
    /// </summary>
    public void Add(string equipmentId, long boot, long seq, in SpreadReading a, in SpreadReading b, int? content)
    {
        var volume = MeterInterval.VolumeMillilitres(
            a.TotalMillilitres,
            b.TotalMillilitres,
            a.FlowMillilitresPerSecond,
            b.FlowMillilitresPerSecond,
            b.MeasuredAtMilliseconds - a.MeasuredAtMilliseconds,
            configuration.Applicator(equipmentId)?.MeterModulusMillilitres
        );
        var mounted = configuration.SensorFor(equipmentId, a.MeasuredAtMilliseconds);
        if (!gathered.TryGetValue((equipmentId, boot), out var series))
            gathered[(equipmentId, boot)] = series = [];
        series[seq] = new(
            seq,
            a.MeasuredAtMilliseconds,
            a.TotalMillilitres,
            b.TotalMillilitres,
            volume,
            mounted?.SensorId == sensorId ? mounted : null,
            mounted?.SensorId == sensorId ? content : null
        );
    }

    /// <summary>What left the applicator in the window of a sample taken there.</summary>
    public PassedContent Landed(SampledWindow window)
    {
        var sum = new PassedContent();
        foreach (var (series, intervals) in gathered)
            if (series.EquipmentId == window.ApplicatorId)
                foreach (var column in Columns(intervals.Values.Where(it => window.ReadsFrom(it.AtMilliseconds))))
                    sum += Landed(window, column);
        return sum;
    }

    private static PassedContent Landed(SampledWindow window, List<(long Total, Metered Interval)> column)
    {
        var (last, end) = (column[^1].Interval, column[^1].Total);
        ImmutableArray<PumpedContent> pumped =
        [
            .. column.Select(it => new PumpedContent(it.Total, it.Interval.InHose)),
            new(end + last.Volume!.Value, null),
        ];
        var flows = new Dictionary<long, PlugFlow>();
        var sum = new PassedContent();
        foreach (var (total, interval) in column)
        {
            if (interval is not { Mounted: { } mounted, Volume: { } volume } || !window.Holds(interval.AtMilliseconds))
                continue;
            if (mounted is not { Place: SensorPlace.AtPump, HoseMillilitres: { } hose })
            {
                var lag = mounted.Place == SensorPlace.AtPump ? HoseLag.NotKnown : HoseLag.None;
                sum += PassedContent.Of(volume, interval.Content, lag);
                continue;
            }
            if (!flows.TryGetValue(hose, out var flow))
                flows[hose] = flow = new(pumped, hose);
            var landed = flow.Landed(total, total + volume);
            sum += new PassedContent(volume, landed.WeightedSum, landed.MillilitresWithout, HoseLag.Shifted);
        }
        return sum;
    }

    /// <summary>
    /// The stretches over which the volume is known, each interval with the cumulated volume at its beginning. Where
    /// numbers or volumes are missing, the totals alone give the volume, without a content. Where the totals fall, or
    /// another boot begins, a new stretch begins.
    /// </summary>
    private static IEnumerable<List<(long Total, Metered Interval)>> Columns(IEnumerable<Metered> inOrder)
    {
        var column = new List<(long Total, Metered Interval)>();
        var total = 0L;
        foreach (var interval in inOrder)
        {
            if (interval.Volume is not { } volume)
                continue;
            if (column.Count > 0 && column[^1].Interval is var last && last.Seq + 1 != interval.Seq)
            {
                if (interval.TotalA - last.TotalB is >= 0 and { } missing)
                {
                    column.Add((total, last with { Volume = missing, Mounted = null, Content = null }));
                    total += missing;
                }
                else
                {
                    yield return column;
                    (column, total) = ([], 0);
                }
            }
            column.Add((total, interval));
            total += volume;
        }
        if (column.Count > 0)
            yield return column;
    }

    private readonly record struct Metered(
        long Seq,
        long AtMilliseconds,
        long? TotalA,
        long? TotalB,
        long? Volume,
        SensorMounted? Mounted,
        int? Content
    )
    {
        /// <summary>
        /// Only what was measured at the pump is in the hose. Of the rest the content there is unknown.
        /// </summary>
        public int? InHose => Mounted?.Place == SensorPlace.AtPump ? Content : null;
    }
}
