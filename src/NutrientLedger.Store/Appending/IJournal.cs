namespace NutrientLedger.Store;

/// <summary>Where arrived telemetry is committed; <see cref="JournalWriter"/> is the one on PostgreSQL.</summary>
public interface IJournal
{
    /// <summary>
    /// Commits a batch and gives the fate of each arrived pack, in order. Throws only when nothing could be committed; the
    /// same batch may be tried again then.
    /// </summary>
    Task<IReadOnlyList<AppendFate>> AppendAsync(
        IReadOnlyList<ArrivedPack> arrived,
        IReadOnlyList<RefusedMessage> refused,
        CancellationToken cancellationToken
    );

    /// <summary>How far the boots of these machines are stored, the newest boot of each stream first.</summary>
    Task<IReadOnlyList<StoredMark>> MarksAsync(
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    );
}
