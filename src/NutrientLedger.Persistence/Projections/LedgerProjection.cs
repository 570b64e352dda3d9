using System.Diagnostics;
using JasperFx.Events;
using Marten;
using Marten.Events.Projections;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Persistence.Projections;

/// <summary>
/// Keeps posted ledgers current: each page of the journal is posted farm by farm, and written in the transaction in which Marten
/// notes that the page is done. Lines are always the posting of all packs up to the farm's position under the register of its
/// register position. When the page holds something that changes lines already posted, that is only noted, and the page posted
/// under the register of before; a a correction makes the new lines beside and switches to them.
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

    private readonly JournalReader journal = new(source);
    private readonly ConfigurationCache configurations = new(new(source));

    public async Task ApplyAsync(
        IDocumentOperations operations,
        IReadOnlyList<IEvent> events,
        CancellationToken cancellation
    )
    {
        await turn.BeginPageAsync(cancellation);
        var begun = Stopwatch.GetTimestamp();
        var upTo = events.Count > 0 ? events.Max(@event => @event.Sequence) : 0;
        foreach (var farm in events.Where(@event => @event.Data is IJournalEvent).GroupBy(@event => @event.TenantId))
            await PostAsync(operations, farm.Key, [.. farm], upTo, cancellation);
        meter.Posted(events.Count, Stopwatch.GetElapsedTime(begun));
    }

    private async Task PostAsync(
        IDocumentOperations operations,
        string farmId,
        IReadOnlyList<IEvent> batch,
        long upTo,
        CancellationToken cancellation
    )
    {
        // Read before anything that is added to, so that whoever moves the ledger on after this is noticed.
        await using var connection = await source.OpenConnectionAsync(cancellation);
        var current =
            await GenerationRows.CurrentAsync(connection, farmId, cancellation)
            ?? new CurrentGeneration(farmId, 1, 0, 0, 0);
        var unposted = batch.Where(@event => @event.Sequence > current.Position).ToList();
        if (unposted.Count == 0)
            return;
        var (configurationPosition, wanted) = (current.ConfigurationPosition, current.WantedPosition);
        if (
            unposted.FindLast(@event => EventTypes.Of((IJournalEvent)@event.Data).Changes == EventChanges.Rebuild) is
            { Sequence: var changed }
        )
        {
            wanted = changed;
            if (!await journal.AnyBatchBeforeAsync(farmId, unposted[0].Sequence, cancellation))
                configurationPosition = changed;
        }
        var configuration = await configurations.AtPositionAsync(farmId, configurationPosition, cancellation);
        var accumulator = new LedgerAccumulator();
        foreach (var @event in unposted)
            accumulator.Post((IJournalEvent)@event.Data, @event.Timestamp, configuration);
        await TileRows.MergeStoredAsync(
            connection,
            farmId,
            current.Generation,
            accumulator.TileKeys,
            accumulator.Add,
            cancellation
        );
        var write = new LedgerWriter(operations.QueueSqlCommand, farmId);
        write.Advance(current, upTo, configurationPosition, wanted);
        write.Add(accumulator.TakeAll(), current.Generation);
    }
}
