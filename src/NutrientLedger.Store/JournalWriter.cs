namespace NutrientLedger.Store;

/// <summary>Appends telemetry: seen rows, entries, refused messages and device counts in one transaction.</summary>
public sealed class JournalWriter : IJournal
{
    /// <summary>
    /// Commits a batch and gives the fate of each arrived pack, in order. Throws only when the database could not commit; nothing
    /// is stored then and the same batch may be tried again.
    /// </summary>
    public Task<IReadOnlyList<AppendFate>> AppendAsync(
        IReadOnlyList<ArrivedPack> arrived,
        IReadOnlyList<RefusedMessage> refused,
        CancellationToken cancellationToken
    ) => throw new NotImplementedException();
}
