using System.Diagnostics;
using JasperFx.Events;
using Marten;
using Marten.Events.Projections;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>
/// Keeps posted ledgers current: each page of the journal is posted farm by farm, and written in the transaction in which Marten
/// notes that the page is done. Lines are always the posting of all packs up to the farm's position under the register of its
/// register position. When the page holds something that changes lines already posted, that is only noted, and the page posted
/// under the register of before; a <see cref="Correction"/> makes the new lines beside and switches to them.
/// <para>
/// Marten alone does not keep a page from being posted twice: when a hub has lost the leadership unawares, or never heard that
/// its commit succeeded, it only warns that its note of progress was out of date. So each farm's own position says what is posted
/// already, and a transaction that finds it moved fails.
/// </para>
/// </summary>
internal sealed class LedgerProjection(NpgsqlDataSource source, PostingTurn turn, PostingMeter meter) : IProjection
{
    /// <summary>The name under which Marten notes how far ledgers are posted.</summary>
    public const string Name = "Ledger";

    private readonly JournalRows journal = new(source);
    private readonly FarmRegisters registers = new(new(source));

    public async Task ApplyAsync(
        IDocumentOperations operations,
        IReadOnlyList<IEvent> events,
        CancellationToken cancellation
    )
    {
        await turn.BeginPageAsync(cancellation);
        var begun = Stopwatch.GetTimestamp();
        var upTo = events.Count > 0 ? events.Max(entry => entry.Sequence) : 0;
        foreach (var farm in events.Where(entry => entry.Data is IEntry).GroupBy(entry => entry.TenantId))
            await PostAsync(operations, farm.Key, [.. farm], upTo, cancellation);
        meter.Posted(events.Count, Stopwatch.GetElapsedTime(begun));
    }

    private async Task PostAsync(
        IDocumentOperations operations,
        string farmId,
        IReadOnlyList<IEvent> page,
        long upTo,
        CancellationToken cancellation
    )
    {
        // Read before anything that is added to, so that whoever moves the ledger on after this is noticed.
        await using var connection = await source.OpenConnectionAsync(cancellation);
        var stand =
            await LedgerRows.CurrentAsync(connection, farmId, cancellation)
            ?? new CurrentGeneration(farmId, 1, 0, 0, 0);
        var unposted = page.Where(entry => entry.Sequence > stand.Position).ToList();
        if (unposted.Count == 0)
            return;
        var (inForce, wanted) = (stand.RegisterPosition, stand.WantedPosition);
        if (unposted.FindLast(entry => Register.ChangesLines((IEntry)entry.Data)) is { Sequence: var changed })
        {
            wanted = changed;
            if (!await journal.AnyPackBeforeAsync(farmId, unposted[0].Sequence, cancellation))
                inForce = changed;
        }
        var register = await registers.AsOfAsync(farmId, inForce, cancellation);
        var book = new LedgerBook();
        foreach (var entry in unposted)
            book.Post((IEntry)entry.Data, entry.Timestamp, register);
        await TileRows.MergeStoredAsync(connection, farmId, stand.Generation, book.TileKeys, book.Add, cancellation);
        var write = new LedgerWriter(operations.QueueSqlCommand, farmId);
        write.MoveOn(stand, upTo, inForce, wanted);
        write.Add(book.TakeAll(), stand.Generation);
    }
}
