using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Appending;

/// <summary>Where arrived telemetry is committed. <see cref="JournalWriter"/> does it on PostgreSQL.</summary>
public interface IJournal
{
    /// <summary>
    /// Commits a batch and returns the result of each arrived message, in order. It throws only when nothing could be
    /// committed. The same batch may then be tried again.
    /// </summary>
    Task<IReadOnlyList<AppendResult>> AppendAsync(
        IReadOnlyList<DecodedMessage> arrived,
        IReadOnlyList<RejectedMessage> rejected,
        CancellationToken cancellationToken
    );

    /// <summary>How far the boots of these devices are stored, the newest boot of each stream first.</summary>
    Task<IReadOnlyList<AcknowledgementWatermark>> WatermarksAsync(
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    );
}
