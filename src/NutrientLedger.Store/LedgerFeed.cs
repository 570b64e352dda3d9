namespace NutrientLedger.Store;

/// <summary>A farm's ledger was posted up to a journal position.</summary>
public sealed record LedgerPosted(string FarmId, long Position);

/// <summary>Tells listeners when ledgers have moved on; a slow listener misses steps in between, never the last one.</summary>
public sealed class LedgerFeed
{
    /// <summary>What is posted from now on, until cancelled.</summary>
    public IAsyncEnumerable<LedgerPosted> ListenAsync(CancellationToken cancellationToken) =>
        throw new NotImplementedException();
}
