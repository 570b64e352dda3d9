using System.Diagnostics.Metrics;

namespace NutrientLedger.Benchmarks;

/// <summary>Listens to what intake says of its own commits: how many there were, of how many messages, how long they took.</summary>
internal sealed class CommitMeter : IDisposable
{
    private readonly MeterListener listener = new();
    private int commits;
    private long messages;
    private double seconds;

    public CommitMeter()
    {
        listener.InstrumentPublished = (instrument, meters) =>
        {
            if (instrument.Name is "intake.commit.duration" or "intake.commit.messages")
                meters.EnableMeasurementEvents(instrument);
        };
        // One commit runs at a time, so these are never called side by side.
        listener.SetMeasurementEventCallback<int>(
            (_, count, _, _) => (commits, messages) = (commits + 1, messages + count)
        );
        listener.SetMeasurementEventCallback<double>((_, took, _, _) => seconds += took);
        listener.Start();
    }

    public double MessagesACommit => (double)messages / commits;

    public double MillisecondsACommit => 1000 * seconds / commits;

    public void Dispose() => listener.Dispose();
}
