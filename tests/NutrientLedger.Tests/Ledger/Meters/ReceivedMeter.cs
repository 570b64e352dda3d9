using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Tests.Ledger.Seasons;

namespace NutrientLedger.Tests.Ledger.Meters;

/// <summary>What has arrived of an invented meter: what is posted, and the runs that were received.</summary>
internal sealed class ReceivedMeter(InventedMeter meter)
{
    private readonly LedgerAccumulator ledger = new();
    private readonly SortedSet<(long Boot, long Seq)> received = [];

    private readonly FarmConfiguration configuration = Some.Configuration([
        Some.Farm(),
        Some.Field(Some.West, Some.Square()),
        Some.Applicator(modulus: meter.Modulus),
        Some.Source(),
    ]);

    private readonly Dictionary<long, ReceivedReadings<SpreadReading>> boots = meter.Boots.ToDictionary(
        boot => boot.Boot,
        boot => new ReceivedReadings<SpreadReading>(boot)
    );

    /// <summary>Receives some numbers of a boot and posts what is new.</summary>
    public void Arrive(long boot, long first, long last)
    {
        foreach (var batch in boots[boot].Arrive(first, last))
            ledger.Post(new SpreadingMeasured(batch), Some.Recorded, configuration);
        for (var seq = first; seq <= last; seq++)
            received.Add((boot, seq));
    }

    /// <summary>Volume on any line, spread or not, in mL.</summary>
    public long Posted =>
        ledger.Lines.Values.Sum(line =>
            line.VolumeMillilitres + line.DisengagedMillilitres + line.NotPlacedMillilitres
        );

    public long UnknownIntervals => ledger.Lines.Values.Sum(line => line.UnknownIntervals);

    public IReadOnlyList<MeterInterruption> Interruptions =>
        MeterInterruptions.Of(configuration, Runs().Reverse(), Some.Recorded);

    /// <summary>All readings received, in the order of the meter.</summary>
    public IReadOnlyList<(long Boot, long Seq)> Received => [.. received];

    public SpreadReading Reading((long Boot, long Seq) at) => meter.Boots[(int)at.Boot - 1].Readings[at.Seq - 1];

    /// <summary>What posting makes of two readings in a row; null where it is unknown.</summary>
    public long? Volume((long Boot, long Seq) from, (long Boot, long Seq) to)
    {
        var (a, b) = (Reading(from), Reading(to));
        return MeterInterval.VolumeMillilitres(
            a.TotalMillilitres,
            b.TotalMillilitres,
            null,
            null,
            b.MeasuredAtMilliseconds - a.MeasuredAtMilliseconds,
            meter.Modulus
        );
    }

    /// <summary>Pairs of readings that were received one after another.</summary>
    public IEnumerable<((long Boot, long Seq) From, (long Boot, long Seq) To)> Pairs =>
        received.Zip(received.Skip(1)).Where(pair => pair.Second == (pair.First.Boot, pair.First.Seq + 1));

    private IEnumerable<ReceivedRun> Runs()
    {
        var list = received.ToList();
        for (var i = 0; i < list.Count; i++)
        {
            var first = list[i];
            while (i + 1 < list.Count && list[i + 1] == (list[i].Boot, list[i].Seq + 1))
                i++;
            yield return new(Some.DragLine, first.Boot, first.Seq, list[i].Seq, Reading(first), Reading(list[i]));
        }
    }
}
