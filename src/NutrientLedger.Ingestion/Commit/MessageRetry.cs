using NutrientLedger.Ingestion.Watermarks;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>Retries dead letters with the same decoder and the same append as an arriving message.</summary>
internal sealed class MessageRetry(IJournal journal, DeadLetterQueue list, PendingWatermarks watermarks) : IMessageRetry
{
    public async Task<AppendResult> RetryAsync(DeadLetter message, CancellationToken cancellationToken)
    {
        // Of a message that was too large not all is there. What was wrong with it stays wrong.
        if (message.Summary is { WholeSha256: not null, Reason: var known })
        {
            await list.RejectedAgainAsync(message.Summary.Id, known, cancellationToken);
            return new AppendResult.Rejected(known);
        }
        var (id, topic, type) = (message.Summary.Id, message.Summary.Topic, message.Summary.ContentType);
        switch (MessageDecoder.Decode(topic, type, message.Payload))
        {
            case DecodeResult.Decoded decoded:
                var decodedMessage = MessageMapping.Of(decoded, topic, message.Payload, type) with { RetryOf = id };
                var result = (await journal.AppendAsync([decodedMessage], [], cancellationToken))[0];
                if (result is AppendResult.Stored && message.Summary.EquipmentId is { } equipment)
                    watermarks.Add(new(decoded.FarmId, equipment));
                return result;
            case DecodeResult.Rejected { Reason: var reason }:
                await list.RejectedAgainAsync(id, reason, cancellationToken);
                return new AppendResult.Rejected(reason);
            case var other:
                throw new InvalidOperationException($"{other.GetType().Name} is not a decode result.");
        }
    }
}
