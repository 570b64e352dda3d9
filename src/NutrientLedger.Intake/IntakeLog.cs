using Microsoft.Extensions.Logging;

namespace NutrientLedger.Intake;

/// <summary>What intake writes into the log, in one place.</summary>
internal sealed partial class IntakeLog(ILogger logger)
{
    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "Messages cannot be committed; it is tried again until it works: {Trouble}"
    )]
    public partial void DatabaseSilent(string trouble);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "Messages cannot be committed for {Seconds} s now, for another reason than before: {Trouble}"
    )]
    public partial void DatabaseSilentOtherwise(double seconds, string trouble);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "Messages are committed again after {Seconds} s and {Tries} tries; {Messages} messages were given back to their devices to send again"
    )]
    public partial void DatabaseBack(double seconds, int tries, int messages);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "{Messages} messages could not be committed; their devices were told to send them again: {Trouble}"
    )]
    public partial void GivenUp(int messages, string trouble);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "A commit of {Messages} messages failed and is tried in halves: {Trouble}"
    )]
    public partial void Halved(int messages, string trouble);

    [LoggerMessage(
        Level = LogLevel.Critical,
        Message = "A mistake in the hub kept {Messages} messages from being committed; their devices were told to send them again"
    )]
    public partial void CommitBroken(int messages, Exception mistake);

    [LoggerMessage(
        Level = LogLevel.Critical,
        Message = "Committing has ended by a mistake in the hub; the hub stops, so that it can be started again"
    )]
    public partial void CommittingEnded(Exception mistake);

    [LoggerMessage(Level = LogLevel.Information, Message = "Taking in from the external broker: {Partition}")]
    public partial void PartitionActive(string partition);

    [LoggerMessage(Level = LogLevel.Warning, Message = "Not taking in {Partition} from the external broker: {Reason}")]
    public partial void PartitionTrouble(string partition, string reason);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "The external broker dropped {Messages} messages ({Total} since this hub listens); raise its queue limits. Devices send them again from their stored mark"
    )]
    public partial void BrokerDropped(long messages, long total);

    [LoggerMessage(Level = LogLevel.Warning, Message = "Stored marks cannot be told, trying again: {Trouble}")]
    public partial void MarksSilent(string trouble);

    [LoggerMessage(Level = LogLevel.Error, Message = "A message on {Topic} could not be taken by the journal")]
    public partial void SetAside(string topic, Exception trouble);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "{Messages} of device {Client} turned away, the last on {Topic}: {Reason}"
    )]
    public partial void TurnedAway(int messages, string client, string topic, string reason);

    [LoggerMessage(Level = LogLevel.Warning, Message = "A line from {Address} was ended: {Reason}")]
    public partial void LineEnded(string address, string reason);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The hub stopped before all arrived messages were committed; their devices will send them again"
    )]
    public partial void StoppedEarly();
}
