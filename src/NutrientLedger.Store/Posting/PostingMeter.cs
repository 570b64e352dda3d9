using System.Diagnostics.Metrics;

namespace NutrientLedger.Store;

/// <summary>
/// Measures how ledgers are posted, under the meter "NutrientLedger.Store": what this hub posts itself, and how far the ledgers
/// are behind the journal, whoever posts them.
/// </summary>
public sealed class PostingMeter
{
    /// <summary>The name by which the measurements are asked for.</summary>
    public const string Name = "NutrientLedger.Store";

    private readonly Histogram<double> pageSeconds;
    private readonly Counter<long> entries;
    private readonly Counter<long> postedAnew;
    private readonly Counter<long> packsAnew;
    private (long Entries, double Seconds)? behind;

    /// <summary>Makes the instruments; a hub has one of each.</summary>
    public PostingMeter(IMeterFactory meters)
    {
        var meter = meters.Create(Name);
        pageSeconds = meter.CreateHistogram<double>(
            "store.posting.duration",
            "s",
            "Time to read and reckon a page of the journal, its writing not included"
        );
        entries = meter.CreateCounter<long>("store.posting.entries", "{entry}", "Entries reckoned into ledgers");
        postedAnew = meter.CreateCounter<long>(
            "store.posting.anew",
            "{farm}",
            "Farms whose ledger was posted anew where a correction of the past touches it"
        );
        packsAnew = meter.CreateCounter<long>(
            "store.posting.anew.packs",
            "{pack}",
            "Packs read from the journal for that"
        );
        meter.CreateObservableGauge(
            "store.posting.behind.entries",
            () => Behind(lag => lag.Entries),
            "{entry}",
            "Entries of the journal that are not in the ledgers yet"
        );
        meter.CreateObservableGauge(
            "store.posting.behind.duration",
            () => Behind(lag => lag.Seconds),
            "s",
            "How long the oldest entry that is not in the ledgers yet has been waiting"
        );
    }

    internal void Posted(int count, TimeSpan took)
    {
        entries.Add(count);
        pageSeconds.Record(took.TotalSeconds);
    }

    internal void Corrected(long packs)
    {
        postedAnew.Add(1);
        packsAnew.Add(packs);
    }

    /// <summary>Notes how far the ledgers are behind, or that it is not known.</summary>
    internal void Note(PostingLag? lag, DateTimeOffset now) =>
        behind = lag is null ? null : (lag.Entries, lag.WaitingSince is { } since ? (now - since).TotalSeconds : 0);

    // What is not known is left out: a number that stands still would look like one that was measured.
    private IEnumerable<Measurement<T>> Behind<T>(Func<(long Entries, double Seconds), T> of)
        where T : struct => behind is { } known ? [new(of(known))] : [];
}
