using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// What passed a sensor in the windows of samples, in random seasons with decisions, roll-overs and jumping clocks.
/// </summary>
public class AnyPairingTests
{
    private static readonly DateTimeOffset Recorded = new(2026, 3, 9, 12, 0, 0, TimeSpan.Zero);

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 16)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Pairs_are_the_same_however_the_readings_were_cut_into_batches_and_in_any_order_of_arrival(int seed)
    {
        var season = new InventedSeason(seed);
        var configuration = Some.Configuration([.. season.ConfigurationEvents, .. season.Decisions]);
        var first = season.Spread.Min(series => series.Readings.Min(reading => reading.MeasuredAtMilliseconds));
        var last = season.Spread.Max(series => series.Readings.Max(reading => reading.MeasuredAtMilliseconds));
        var expected = Passed(configuration, first, last, Arrivals.InOrder(season));
        Assert.Contains(expected, sum => sum.Mean is not null);

        for (var way = 0; way < 3; way++)
            Assert.Equal(expected, Passed(configuration, first, last, Arrivals.Shuffled(season, seed * 100 + way)));
    }

    /// <summary>
    /// The drag line has one sensor, at the pump, with a hose that fills in about ten seconds. The windows overlap.
    /// </summary>
    [Theory]
    [MemberData(nameof(Seeds))]
    public void What_a_pump_sensor_measured_leaves_the_applicator_alike_however_it_was_cut_and_ordered(int seed)
    {
        var season = new InventedSeason(seed);
        var since = DateTimeOffset.UnixEpoch;
        var configuration = Some.Configuration([
            .. season.ConfigurationEvents.Where(@event => @event is not SensorMounted),
            new SensorMounted(Some.Sensor, Some.DragLine, SensorPlace.AtPump, Some.DragLine, since, 412_345),
            .. season.Decisions,
        ]);
        var (from, until) = (season.Spread[0].Readings[20], season.Spread[0].Readings[^1]);
        var step = Math.Abs(until.MeasuredAtMilliseconds - from.MeasuredAtMilliseconds) / 8;
        SampledWindow[] windows =
        [
            .. Enumerable
                .Range(0, 8)
                .Select(i => from.MeasuredAtMilliseconds + i * step)
                .Select(at => new SampledWindow(Report, at, at + 2 * step, null, Some.DragLine)),
        ];

        var expected = Landed(Arrivals.InOrder(season));
        Assert.Contains(expected, sum => sum is { Mean: not null, Lag: HoseLag.Shifted });
        for (var way = 0; way < 3; way++)
            Assert.Equal(expected, Landed(Arrivals.Shuffled(season, seed * 100 + way)));

        IReadOnlyList<PassedContent> Landed(IEnumerable<IJournalEvent> events)
        {
            var passed = new SensorWindowSums(configuration, Some.Sensor, Analyte.TotalNitrogen, windows);
            foreach (var measured in events.OfType<SpreadingMeasured>())
                passed.Add(measured.Batch, Recorded);
            return passed.Passed;
        }
    }

    private static PassedContent[] Passed(
        FarmConfiguration configuration,
        long first,
        long last,
        IEnumerable<IJournalEvent> events
    )
    {
        var sums = new List<PassedContent>();
        foreach (var sensor in new[] { Some.Sensor, "nir-2" })
        {
            // Twelve windows over the whole time, some of the flow and some of a pit, each overlapping the next.
            var step = (last - first) / 12;
            var windows = Enumerable
                .Range(0, 12)
                .Select(i => new SampledWindow(
                    Report,
                    first + i * step,
                    first + (i + 2) * step,
                    i % 3 == 0 ? Some.Pit : null
                ))
                .Append(new(Report, first, last, null))
                .ToArray();
            var passed = new SensorWindowSums(configuration, sensor, Analyte.TotalNitrogen, windows);
            foreach (var measured in events.OfType<SpreadingMeasured>())
                passed.Add(measured.Batch, Recorded);
            sums.AddRange(passed.Passed);
        }
        return [.. sums];
    }

    private static LabResultReported Report { get; } =
        new(
            "r-1",
            "1",
            "Fen Street laboratory",
            Recorded,
            Recorded,
            Some.Pit,
            null,
            "grab",
            new(2026, 5, 2),
            [],
            null,
            "Ada Ash"
        );
}
