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
/// notes that the page is done. When the page holds something that changes lines already posted, the farm is posted again from
/// the beginning beside the old lines, and the generation switched in the same transaction. So the lines at a position are always
/// the posting of all packs up to there under the register of there, whatever the order of arrival.
/// <para>
/// Marten alone does not keep a page from being posted twice: when a hub has lost the leadership unawares, or never heard that
/// its commit succeeded, it only warns that its note of progress was out of date. So each farm's own position says what is posted
/// already, and a transaction that finds it moved fails.
/// </para>
/// </summary>
internal sealed class LedgerProjection(NpgsqlDataSource source, PostingMeter meter) : IProjection
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
        var (generation, position) = await StandAsync(farmId, cancellation);
        var unposted = page.Where(entry => entry.Sequence > position).ToList();
        if (unposted.Count == 0)
            return;
        var register = await registers.AsOfAsync(farmId, upTo, cancellation);
        var write = new LedgerWriter(operations, farmId);
        var changesLines = unposted.Any(entry => Register.ChangesLines((IEntry)entry.Data));
        if (changesLines && await journal.AnyPackBeforeAsync(farmId, unposted[0].Sequence, cancellation))
        {
            write.MoveOn(position, generation + 1, upTo);
            write.Add(await journal.PostAllAsync(farmId, register, upTo, cancellation), generation + 1);
            write.Drop(generation);
            meter.PostedAnew();
            return;
        }
        var book = new LedgerBook();
        foreach (var entry in unposted)
            book.Post((IEntry)entry.Data, entry.Timestamp, register);
        await TileRows.MergeStoredAsync(source, farmId, generation, book, cancellation);
        write.MoveOn(position, generation, upTo);
        write.Add(book, generation);
    }

    /// <summary>The generation that is read and the position up to which it is posted.</summary>
    private async Task<(int Generation, long Position)> StandAsync(string farmId, CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            "select generation, position from ledger.generation where farm = $1",
            farmId
        );
        await using var row = await command.ExecuteReaderAsync(cancellationToken);
        return await row.ReadAsync(cancellationToken) ? (row.GetInt32(0), row.GetInt64(1)) : (1, 0);
    }
}
