using System.Diagnostics.Metrics;
using NutrientLedger.Store;

namespace NutrientLedger.Intake;

/// <summary>Counts the fates of messages and readings, and how commits go, under the meter "NutrientLedger.Intake".</summary>
internal sealed class IntakeMeter
{
    public const string Name = "NutrientLedger.Intake";

    private readonly Counter<long> messages;
    private readonly Counter<long> readings;
    private readonly Histogram<double> commitSeconds;
    private readonly Histogram<int> commitMessages;
    private readonly Counter<long> brokerDropped;

    public IntakeMeter(IMeterFactory meters, IntakeQueue queue)
    {
        var meter = meters.Create(Name);
        messages = meter.CreateCounter<long>("intake.messages", "{message}", "Messages by fate");
        readings = meter.CreateCounter<long>("intake.readings", "{reading}", "Readings by fate");
        commitSeconds = meter.CreateHistogram<double>(
            "intake.commit.duration",
            "s",
            "Time from offering a batch to its commit"
        );
        commitMessages = meter.CreateHistogram<int>("intake.commit.messages", "{message}", "Messages of one commit");
        brokerDropped = meter.CreateCounter<long>(
            "intake.broker.dropped",
            "{message}",
            "Messages an external broker says it dropped"
        );
        meter.CreateObservableGauge("intake.waiting", () => queue.Count, "{message}", "Messages waiting for a commit");
    }

    public void Count(AppendFate fate)
    {
        switch (fate)
        {
            case AppendFate.Stored stored:
                Message(stored.Readings > 0 ? "stored" : "duplicate");
                Reading("stored", stored.Readings - stored.Doubtful);
                Reading("doubtful", stored.Doubtful);
                Reading("duplicate", stored.Duplicates);
                break;
            case AppendFate.Refused:
                Message("refused");
                break;
        }
    }

    /// <summary>A message that the broker did not let in: wrong topic, or a hub that is stopping.</summary>
    public void TurnedAway() => Message("turned_away");

    public void BrokerDropped(long count) => brokerDropped.Add(count);

    public void NotCommitted() => Message("not_committed");

    public void Committed(int count, TimeSpan took)
    {
        commitMessages.Record(count);
        commitSeconds.Record(took.TotalSeconds);
    }

    private void Message(string fate) => messages.Add(1, new KeyValuePair<string, object?>("fate", fate));

    private void Reading(string fate, int count)
    {
        if (count > 0)
            readings.Add(count, new KeyValuePair<string, object?>("fate", fate));
    }
}
