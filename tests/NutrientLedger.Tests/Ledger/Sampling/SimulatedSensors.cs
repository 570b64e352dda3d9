using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// Simulated checks of a sensor (fixed seeds). Contents vary around 4 g/L by day and within it. The sensor is off by a
/// share that varies from day to day; the laboratory errs in each jar. Both are a share of the content.
/// </summary>
internal sealed record SimulatedSensors
{
    private const double Content = 4_000;
    private const double ReadingError = 0.005;

    private static readonly FarmCalendar Calendar = new(Some.Farm());

    /// <summary>Number of jars of each day.</summary>
    public required int[] Jars { get; init; }

    public double DayBias { get; init; } = 0.02;

    public double LaboratoryError { get; init; } = 0.025;

    public double ContentByDay { get; init; } = 0.15;

    public double ContentWithinDay { get; init; } = 0.05;

    /// <summary>What a wrong sensor reads too much, as a share.</summary>
    public double Bias { get; init; }

    /// <summary>What a wrong sensor makes of a difference from 4 g/L.</summary>
    public double Slope { get; init; } = 1;

    /// <summary>The share of so many sensors for which a calibration is proposed.</summary>
    public double ShareProposed(int sensors) =>
        Share(sensors, pairs => SensorCheck.Of(pairs, Calendar).Proposed is not null);

    /// <summary>The share of so many sensors for which one is proposed after any of the days.</summary>
    public double ShareProposedOnSomeDay(int sensors) =>
        Share(
            sensors,
            pairs =>
                Enumerable
                    .Range(1, Jars.Length)
                    .Any(days => SensorCheck.Of([.. pairs.Take(Jars.Take(days).Sum())], Calendar).Proposed is not null)
        );

    private double Share(int sensors, Func<IReadOnlyList<SamplePair>, bool> isProposed)
    {
        const int parts = 20;
        var windows = Jars.SelectMany((jars, day) => Enumerable.Repeat(Window(day), jars)).ToArray();
        return Enumerable
                .Range(0, parts)
                .AsParallel()
                .Sum(part =>
                {
                    var random = new Random(part + 1);
                    return Enumerable.Range(0, sensors / parts).Count(_ => isProposed(Pairs(windows, random)));
                }) / (double)sensors;
    }

    private List<SamplePair> Pairs(SampledWindow[] windows, Random random)
    {
        var pairs = new List<SamplePair>();
        foreach (var jars in Jars)
        {
            var (ofDay, off) = (Content * (1 + Normal(random, ContentByDay)), Normal(random, DayBias));
            for (var jar = 0; jar < jars; jar++)
            {
                var truly = ofDay * (1 + Normal(random, ContentWithinDay));
                var read =
                    (Content + Slope * (truly - Content)) * (1 + Bias) * (1 + off) * (1 + Normal(random, ReadingError));
                var found = truly * (1 + Normal(random, LaboratoryError));
                pairs.Add(new(windows[pairs.Count], found, read, new(1_000, 1_000, 0)));
            }
        }
        return pairs;
    }

    /// <summary>Box and Muller's transform.</summary>
    private static double Normal(Random random, double deviation) =>
        deviation * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    private static SampledWindow Window(int day)
    {
        var at = Some.Morning.AddDays(day);
        var from = at.ToUnixTimeMilliseconds();
        LabResultReported report = new(
            $"r-{day}",
            "jar",
            "Fen Street laboratory",
            at,
            at,
            null,
            Some.Sensor,
            "grab",
            new(2026, 5, 2),
            [],
            null,
            "Ada Ash"
        );
        return new(report, from, from + 1, null);
    }
}
