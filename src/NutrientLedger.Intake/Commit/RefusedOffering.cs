using NutrientLedger.Store;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Intake.Commit;

/// <summary>Offers refused messages again: through the same reader and the same append as an arriving one.</summary>
internal sealed class RefusedOffering(IJournal journal, RefusedList list) : IRefusedOffering
{
    public async Task<AppendFate> OfferAsync(RefusedWhole message, CancellationToken cancellationToken)
    {
        var (id, topic, type) = (message.Listing.Id, message.Listing.Topic, message.Listing.ContentType);
        switch (MessageReader.Read(topic, type, message.Payload))
        {
            case MessageFate.Decoded decoded:
                var pack = Arrival.Of(decoded, topic, message.Payload, type) with { OfferedAs = id };
                return (await journal.AppendAsync([pack], [], cancellationToken))[0];
            case MessageFate.Refused { Reason: var reason }:
                await list.RefusedAgainAsync(id, reason, cancellationToken);
                return new AppendFate.Refused(reason);
            case var other:
                throw new InvalidOperationException($"{other.GetType().Name} is no fate of a message.");
        }
    }
}
