using System.Diagnostics.Metrics;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.Projections;

namespace NutrientLedger.Ingestion.Monitoring;

/// <summary>
/// Counts messages and readings by result and measures commits, under the meter "NutrientLedger.Ingestion".
/// </summary>
internal sealed class IngestionMeter
{
    public const string Name = "NutrientLedger.Ingestion";

    private readonly Counter<long> messages;
    private readonly Counter<long> readings;
    private readonly Histogram<double> commitSeconds;
    private readonly Histogram<int> commitMessages;
    private readonly Counter<long> brokerDropped;

    public IngestionMeter(IMeterFactory meters, IngestionQueue queue)
    {
        var meter = meters.Create(Name);
        messages = meter.CreateCounter<long>("ingestion.messages", "{message}", "Messages by result");
        readings = meter.CreateCounter<long>("ingestion.readings", "{reading}", "Readings by result");
        commitSeconds = meter.CreateHistogram<double>(
            "ingestion.commit.duration",
            "s",
            "Time to commit a group of messages",
            advice: PostingMeter.Seconds
        );
        commitMessages = meter.CreateHistogram<int>(
            "ingestion.commit.messages",
            "{message}",
            "Messages of one commit",
            advice: new() { HistogramBucketBoundaries = [1, 2, 5, 10, 20, 50, 100, 200, 500] }
        );
        brokerDropped = meter.CreateCounter<long>(
            "ingestion.broker.dropped",
            "{message}",
            "Messages dropped by the external broker"
        );
        meter.CreateObservableGauge(
            "ingestion.waiting",
            () => queue.Count,
            "{message}",
            "Messages waiting for a commit"
        );
    }

    public void Count(AppendResult result)
    {
        switch (result)
        {
            case AppendResult.Stored stored:
                Message(stored.Readings > 0 ? "stored" : "duplicate");
                Reading("stored", stored.Readings - stored.Questionable);
                Reading("questionable", stored.Questionable);
                Reading("duplicate", stored.Duplicates);
                break;
            case AppendResult.Rejected:
                Message("rejected");
                break;
            case AppendResult.OverQuota:
                Message("over_quota");
                break;
            case AppendResult.NotCommitted:
                NotCommitted();
                break;
        }
    }

    public void BrokerDropped(long count) => brokerDropped.Add(count);

    public void NotCommitted() => Message("not_committed");

    public void Committed(int count, TimeSpan took)
    {
        commitMessages.Record(count);
        commitSeconds.Record(took.TotalSeconds);
    }

    private void Message(string result) => messages.Add(1, new KeyValuePair<string, object?>("result", result));

    private void Reading(string result, int count)
    {
        if (count > 0)
            readings.Add(count, new KeyValuePair<string, object?>("result", result));
    }
}
