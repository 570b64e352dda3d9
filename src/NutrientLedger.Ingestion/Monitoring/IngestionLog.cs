using Microsoft.Extensions.Logging;

namespace NutrientLedger.Ingestion.Monitoring;

/// <summary>Every log message of ingestion.</summary>
internal sealed partial class IngestionLog(ILogger logger)
{
    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "Messages are committed again after {Tries} failed tries; {Messages} messages were returned for their devices to send again"
    )]
    public partial void CommittedAgain(int tries, int messages);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "{Messages} messages could not be committed. Their devices were asked to send them again: {Error}"
    )]
    public partial void GivenUp(int messages, string error);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "A commit of {Messages} messages failed and is retried in two halves: {Error}"
    )]
    public partial void CommitSplit(int messages, string error);

    [LoggerMessage(
        Level = LogLevel.Critical,
        Message = "A defect in the hub kept {Messages} messages from being committed. Their devices were asked to send them again."
    )]
    public partial void CommitFailed(int messages, Exception exception);

    [LoggerMessage(
        Level = LogLevel.Critical,
        Message = "A defect in the hub ended the commit loop. The hub stops; start it again."
    )]
    public partial void CommitLoopFailed(Exception exception);

    [LoggerMessage(Level = LogLevel.Information, Message = "Receiving from the external broker: {Partition}")]
    public partial void PartitionActive(string partition);

    [LoggerMessage(Level = LogLevel.Warning, Message = "Not receiving {Partition} from the external broker: {Reason}")]
    public partial void PartitionInactive(string partition, string reason);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "The external broker dropped {Messages} messages ({Total} since this hub listens); raise its queue limits. Devices send them again from their acknowledgement watermark."
    )]
    public partial void BrokerDropped(long messages, long total);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "Acknowledgement watermarks cannot be published and are retried: {Error}"
    )]
    public partial void WatermarksFailed(string error);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "A message on {Topic} could not be stored and became a dead letter"
    )]
    public partial void DeadLettered(string topic, Exception error);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "Messages rejected from device {Client}: {Messages}. The last was on {Topic}: {Reason}"
    )]
    public partial void PublishRejected(int messages, string client, string topic, string reason);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "{Messages} messages on {Topic} were not taken, and their device keeps them: {Reason}"
    )]
    public partial void OverQuota(int messages, string topic, string reason);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "{Messages} messages on {Topic} wait for a decision. The last: {Reason}"
    )]
    public partial void Undecided(int messages, string topic, string reason);

    [LoggerMessage(Level = LogLevel.Warning, Message = "A connection from {Address} was closed: {Reason}")]
    public partial void ConnectionClosed(string address, string reason);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The hub stopped before all arrived messages were committed; their devices will send them again"
    )]
    public partial void StoppedWithUncommitted();
}
