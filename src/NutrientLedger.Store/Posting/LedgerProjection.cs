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
/// </summary>
internal sealed class LedgerProjection(NpgsqlDataSource source) : IProjection
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
        var upTo = events.Count > 0 ? events.Max(entry => entry.Sequence) : 0;
        foreach (var farm in events.Where(entry => entry.Data is IEntry).GroupBy(entry => entry.TenantId))
            await PostAsync(operations, farm.Key, [.. farm], upTo, cancellation);
    }

    private async Task PostAsync(
        IDocumentOperations operations,
        string farmId,
        IReadOnlyList<IEvent> page,
        long upTo,
        CancellationToken cancellation
    )
    {
        var register = await registers.AsOfAsync(farmId, upTo, cancellation);
        var generation = await GenerationAsync(farmId, cancellation);
        var write = new LedgerWriter(operations, farmId);
        var changesLines = page.Any(entry => Register.ChangesLines((IEntry)entry.Data));
        if (changesLines && await journal.AnyPackBeforeAsync(farmId, page[0].Sequence, cancellation))
        {
            write.Add(await journal.PostAllAsync(farmId, register, upTo, cancellation), generation + 1);
            write.Switch(generation + 1, upTo);
            write.Drop(generation);
            return;
        }
        var book = new LedgerBook();
        foreach (var entry in page)
            book.Post((IEntry)entry.Data, entry.Timestamp, register);
        await TileRows.MergeStoredAsync(source, farmId, generation, book, cancellation);
        write.Add(book, generation);
        write.Switch(generation, upTo);
    }

    private async Task<int> GenerationAsync(string farmId, CancellationToken cancellationToken)
    {
        await using var command = source.CreateCommand("select generation from ledger.generation where farm = $1");
        command.Parameters.Add(new() { Value = farmId });
        return await command.ExecuteScalarAsync(cancellationToken) as int? ?? 1;
    }
}
