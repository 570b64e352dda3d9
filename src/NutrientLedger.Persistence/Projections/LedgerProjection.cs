using System.Diagnostics;
using JasperFx.Events;
using Marten;
using Marten.Events.Projections;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Projections;

/// <summary>
/// Keeps posted ledgers current. Each event batch is posted farm by farm, in the transaction in which Marten notes that
/// it is done. Lines are always the posting of all reading batches up to the farm's position, under the configuration
/// of its configuration position. An event batch may hold something that changes lines already posted. Then that is
/// only noted, and the batch is posted under the earlier configuration. A correction builds the new lines as a shadow
/// generation and switches to it.
/// <para>
/// Marten alone does not keep an event batch from being posted twice. A hub may have lost the leadership unawares, or
/// never heard that its commit succeeded. Marten then only warns that its note of progress was out of date. So each
/// farm's own position says what is posted already. A transaction that finds it moved fails.
/// </para>
/// <para>
/// A batch that cannot be posted is noted by name, and all others are posted.
/// </para>
/// </summary>
internal sealed partial class LedgerProjection(
    NpgsqlDataSource source,
    PostingTurn turn,
    PostingMeter meter,
    ILogger<LedgerProjection> log
) : IProjection
{
    /// <summary>The name under which Marten notes how far ledgers are posted.</summary>
    public const string Name = "Ledger";

    private readonly JournalReader journal = new(source);
    private readonly ConfigurationCache configurations = new();

    public async Task ApplyAsync(
        IDocumentOperations operations,
        IReadOnlyList<IEvent> events,
        CancellationToken cancellation
    )
    {
        await turn.BeginPageAsync(cancellation);
        var begun = Stopwatch.GetTimestamp();
        var upTo = events.Count > 0 ? events.Max(@event => @event.Sequence) : 0;
        var farms = events.Where(@event => @event.Data is IJournalEvent).ToLookup(@event => @event.TenantId);
        // Read before anything that is added to. Then it is noticed when a ledger is moved on after this.
        await using (var connection = await source.OpenConnectionAsync(cancellation))
        {
            var posted = await PostedFarmRows.ReadAsync(connection, [.. farms.Select(f => f.Key)], cancellation);
            var pages = new List<FarmPage>();
            foreach (var farm in farms)
                if (
                    await PostAsync(
                        posted.GetValueOrDefault(farm.Key) ?? PostedFarm.New(farm.Key),
                        [.. farm],
                        cancellation
                    ) is
                    { } page
                )
                    pages.Add(page);
            await AddStoredTilesAsync(connection, pages, cancellation);
            foreach (var page in pages)
                Write(page, upTo, operations.QueueSqlCommand);
        }
        meter.Posted(events.Count, Stopwatch.GetElapsedTime(begun));
    }

    /// <summary>Posts a farm's part of an event page, or returns null when all of it is posted already.</summary>
    private async Task<FarmPage?> PostAsync(PostedFarm farm, IReadOnlyList<IEvent> page, CancellationToken cancellation)
    {
        var unposted = page.Where(@event => @event.Sequence > farm.Position).ToList();
        if (unposted.Count == 0)
            return null;
        var (configurationPosition, wanted) = (farm.ConfigurationPosition, farm.WantedPosition);
        if (
            unposted.FindLast(@event => EventTypes.Of((IJournalEvent)@event.Data).Changes == EventChanges.Rebuild) is
            { Sequence: var changed }
        )
        {
            wanted = changed;
            if (!await journal.AnyBatchBeforeAsync(farm.FarmId, unposted[0].Sequence, cancellation))
                configurationPosition = changed;
        }
        var configuration = await configurations.AtPositionAsync(
            journal,
            farm.FarmId,
            configurationPosition,
            cancellation
        );
        var (accumulator, failed) = (new LedgerAccumulator(), new FailedBatches());
        foreach (var @event in unposted)
            failed.Try(
                @event.Sequence,
                () => accumulator.Post(Readable((IJournalEvent)@event.Data), @event.Timestamp, configuration)
            );
        return new(
            farm,
            configurationPosition,
            wanted,
            accumulator,
            await failed.UnpostedAsync(source, farm.FarmId, configuration, cancellation)
        );
    }

    /// <summary>The event, unless its bytes could not be read. Weather is not posted, so nothing is missing.</summary>
    private static IJournalEvent Readable(IJournalEvent @event) =>
        @event is SpreadingMeasured { Batch: null } or StorageLevelMeasured { Batch: null }
            ? throw new FormatException("its bytes cannot be read")
            : @event;

    /// <summary>Adds what is stored of the visited tiles of all farms, in one round trip.</summary>
    private static async Task AddStoredTilesAsync(
        NpgsqlConnection connection,
        List<FarmPage> pages,
        CancellationToken cancellation
    )
    {
        var visiting = pages.FindAll(page => page.Accumulator.TileKeys.Count > 0);
        if (visiting.Count == 0)
            return;
        await using var reads = new NpgsqlBatch(connection);
        foreach (var page in visiting)
            reads.BatchCommands.Add(
                TileRows.ReadStored(page.From.FarmId, page.Accumulator.TileKeys, page.From.GenerationOf)
            );
        await using var rows = await reads.ExecuteReaderAsync(cancellation);
        foreach (var page in visiting)
        {
            await TileRows.ReadStoredAsync(rows, page.Accumulator.Add, cancellation);
            await rows.NextResultAsync(cancellation);
        }
    }

    private void Write(FarmPage page, long upTo, QueueSqlCommand queue)
    {
        var farm = page.From;
        UnpostedRows.Add(queue, farm.FarmId, page.Unposted);
        foreach (var batch in page.Unposted)
            LogUnposted(log, new(farm.FarmId, batch), UnpostedRows.WhatToDo);
        PostedFarmRows.Advance(queue, farm, upTo, page.ConfigurationPosition, page.WantedPosition);
        var posted = page.Accumulator.TakeAll();
        PostedFarmRows.Add(queue, farm, posted.Partitions);
        var write = new LedgerWriter(queue, farm.FarmId);
        write.AddSums(posted, farm.GenerationOf, farm.LevelGeneration);
        write.PutTiles(posted.Tiles, farm.GenerationOf, upTo);
    }

    private sealed record FarmPage(
        PostedFarm From,
        long ConfigurationPosition,
        long WantedPosition,
        LedgerAccumulator Accumulator,
        IReadOnlyList<UnpostedBatch> Unposted
    );

    [LoggerMessage(Level = LogLevel.Error, Message = "{Batch}. {WhatToDo}")]
    private static partial void LogUnposted(ILogger log, UnpostedRow batch, string whatToDo);
}
