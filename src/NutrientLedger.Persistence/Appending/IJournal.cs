using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Appending;

/// <summary>Where arrived telemetry is committed; <see cref="JournalWriter"/> is the one on PostgreSQL.</summary>
public interface IJournal
{
    /// <summary>
    /// Commits a batch and gives the fate of each arrived pack, in order. Throws only when nothing could be committed; the
    /// same batch may be tried again then.
    /// </summary>
    Task<IReadOnlyList<AppendResult>> AppendAsync(
        IReadOnlyList<DecodedMessage> arrived,
        IReadOnlyList<RejectedMessage> rejected,
        CancellationToken cancellationToken
    );

    /// <summary>How far the boots of these machines are stored, the newest boot of each stream first.</summary>
    Task<IReadOnlyList<AcknowledgementWatermark>> WatermarksAsync(
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    );
}
