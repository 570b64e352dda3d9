using System.Diagnostics.Metrics;

namespace NutrientLedger.Persistence.Projections;

/// <summary>
/// Measures how ledgers are posted, under the meter "NutrientLedger.Persistence". It covers what this hub posts itself,
/// and how far the ledgers are behind the journal, whoever posts them.
/// </summary>
public sealed class PostingMeter
{
    /// <summary>The name by which the measurements are asked for.</summary>
    public const string Name = "NutrientLedger.Persistence";

    /// <summary>Buckets from a millisecond to half a minute. Those of the library are for milliseconds.</summary>
    public static readonly InstrumentAdvice<double> Seconds = new()
    {
        HistogramBucketBoundaries = [0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30],
    };

    private readonly Histogram<double> batchSeconds;
    private readonly Counter<long> events;
    private readonly Counter<long> rebuilds;
    private readonly Counter<long> rebuildBatches;
    private (long Events, double Seconds)? latestLag;

    /// <summary>Makes the instruments. A hub has one of each.</summary>
    public PostingMeter(IMeterFactory meters)
    {
        var meter = meters.Create(Name);
        batchSeconds = meter.CreateHistogram<double>(
            "persistence.posting.duration",
            "s",
            "Time to read and post a batch of events, without writing it",
            advice: Seconds
        );
        events = meter.CreateCounter<long>("persistence.posting.events", "{event}", "Events posted to ledgers");
        rebuilds = meter.CreateCounter<long>(
            "persistence.rebuilds",
            "{farm}",
            "Ledgers rebuilt after a correction of the past"
        );
        rebuildBatches = meter.CreateCounter<long>(
            "persistence.rebuild.batches",
            "{batch}",
            "Batches of readings read for rebuilds"
        );
        meter.CreateObservableGauge(
            "persistence.posting.lag.events",
            () => Lag(lag => lag.Events),
            "{event}",
            "Events not yet posted to the ledgers"
        );
        meter.CreateObservableGauge(
            "persistence.posting.lag.duration",
            () => Lag(lag => lag.Seconds),
            "s",
            "Age of the oldest event not yet posted"
        );
    }

    internal void Posted(int count, TimeSpan took)
    {
        events.Add(count);
        batchSeconds.Record(took.TotalSeconds);
    }

    internal void Rebuilt(long batches)
    {
        rebuilds.Add(1);
        rebuildBatches.Add(batches);
    }

    /// <summary>Notes how far the ledgers are behind, or that it is not known.</summary>
    internal void SetLag(PostingLag? lag, DateTimeOffset now) =>
        latestLag = lag is null ? null : (lag.Events, lag.WaitingSince is { } since ? (now - since).TotalSeconds : 0);

    // What is not known is left out. A constant number would look like a measured one.
    private IEnumerable<Measurement<T>> Lag<T>(Func<(long Events, double Seconds), T> of)
        where T : struct => latestLag is { } known ? [new(of(known))] : [];
}
