using Npgsql;
using NutrientLedger.Journal.Seals;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Hubs;

namespace NutrientLedger.Persistence.Seals;

/// <summary>
/// Seals the journals of all farms at once, in one transaction. The locks of all farms are held for it, so the ends of
/// their chains are of one moment.
/// </summary>
internal sealed class SealWriter(NpgsqlDataSource source, HubIdentity self, TimeProvider time)
{
    /// <summary>
    /// Seals if some farm has an event of a day before today (UTC) that no seal covers. Returns how many farms were
    /// sealed.
    /// </summary>
    public async Task<int> SealAsync(CancellationToken cancellationToken)
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
        var farms = await connection
            .Command("select farm from (select distinct farm from journal.stream) as known order by farm collate \"C\"")
            .ListAsync(row => row.GetString(0), cancellationToken);
        var today = new DateTimeOffset(time.GetUtcNow().UtcDateTime.Date, TimeSpan.Zero);
        var heads = new List<ChainHead>();
        var append = new EventAppend();
        await using (
            var reads = new NpgsqlBatch(connection)
            {
                BatchCommands =
                {
                    HubRows.Require(self),
                    EventAppend.Lock([.. farms]),
                    SealRows.ReadHeads([.. farms], today),
                    EventAppend.ReadHeads([.. farms.Select(farm => new FarmStream(farm, SealRows.Stream))]),
                },
            }
        )
        {
            await using var rows = await reads.ExecuteReaderAsync(cancellationToken);
            if (!await rows.ReadAsync(cancellationToken))
                throw new HubReplacedException();
            await rows.NextResultAsync(cancellationToken);
            await rows.NextResultAsync(cancellationToken);
            while (await rows.ReadAsync(cancellationToken))
                heads.Add(SealRows.Head(rows));
            await rows.NextResultAsync(cancellationToken);
            while (await rows.ReadAsync(cancellationToken))
                append.AddHead(rows);
        }
        if (!heads.Exists(head => head.IsDue))
            return 0;
        var all = FarmChain.OfAll(heads.Select(head => (head.FarmId, head.Position, head.Hash)));
        foreach (var head in heads)
        {
            var sealing = new JournalSealed(head.Position, head.Hash, heads.Count, all);
            var version = append.VersionOf(new(head.FarmId, SealRows.Stream)) + 1;
            var id = EventIds.OfConfigurationEvent(head.FarmId, version, sealing);
            append.Add(head.FarmId, new(SealRows.Stream, id, sealing), time.GetUtcNow());
        }
        await using var writes = new NpgsqlBatch(connection);
        foreach (var command in append.Commands())
            writes.BatchCommands.Add(command);
        await writes.ExecuteNonQueryAsync(cancellationToken);
        await transaction.CommitAsync(cancellationToken);
        return heads.Count;
    }
}
