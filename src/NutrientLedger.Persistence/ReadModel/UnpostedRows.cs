using Npgsql;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>An unposted batch and its farm.</summary>
internal sealed record UnpostedRow(string FarmId, UnpostedBatch Batch)
{
    public override string ToString() =>
        FormattableString.Invariant(
            $"{FarmId}: the batch at position {Batch.Position} (readings {Batch.FirstSeq} to {Batch.LastSeq} of boot {Batch.Boot} of {Batch.EquipmentId}) is not posted: {Batch.Reason.TrimEnd('.')}"
        );
}

/// <summary>
/// The table of batches that cannot be posted. All others are posted without them. A row goes when its batch is posted
/// again and all is well, or when a person has voided all its readings.
/// </summary>
internal static class UnpostedRows
{
    /// <summary>What a person can do about one.</summary>
    public const string WhatToDo =
        "All other batches are posted. Restore the journal from a backup and replay, or void these readings.";

    /// <summary>Makes the table.</summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, position bigint, equipment text not null, boot bigint not null, first_seq bigint not null,
            last_seq bigint not null, reason text not null, primary key (farm, position)
        );
        """;

    /// <summary>How many a farm has.</summary>
    public const string CountByFarm = $"select farm, count(*) from {Table} where farm = any($1) group by farm";

    private const string Table = "ledger.unposted";

    private const string Insert = $"""
        insert into {Table} (farm, position, equipment, boot, first_seq, last_seq, reason)
        select ?, * from unnest(?, ?, ?, ?, ?, ?) on conflict do nothing
        """;

    /// <summary>Queues batches of a farm.</summary>
    public static void Add(QueueSqlCommand queue, string farmId, IReadOnlyCollection<UnpostedBatch> batches)
    {
        if (batches.Count == 0)
            return;
        UnpostedBatch[] all = [.. batches];
        queue(
            Insert,
            farmId,
            Array.ConvertAll(all, batch => batch.Position),
            Array.ConvertAll(all, batch => batch.EquipmentId),
            Array.ConvertAll(all, batch => batch.Boot),
            Array.ConvertAll(all, batch => batch.FirstSeq),
            Array.ConvertAll(all, batch => batch.LastSeq),
            Array.ConvertAll(all, batch => batch.Reason)
        );
    }

    /// <summary>Replaces those at some positions, which a query finds, by what is unposted there now.</summary>
    public static async Task ReplaceAsync(
        NpgsqlConnection connection,
        string farmId,
        string positionsSql,
        IReadOnlyCollection<UnpostedBatch> batches,
        CancellationToken cancellationToken
    )
    {
        await connection.ExecuteAsync(
            $"delete from {Table} where farm = $1 and position in ({positionsSql})",
            cancellationToken,
            farmId
        );
        await using var batch = new SqlCommandBatch(connection);
        Add(batch.Queue, farmId, batches);
        await batch.ExecuteAsync(cancellationToken);
    }

    /// <summary>Those of a farm (of all without one), the oldest first, limited in number.</summary>
    public static Task<List<UnpostedRow>> ListAsync(
        NpgsqlConnection connection,
        string? farmId,
        int limit,
        CancellationToken cancellationToken
    ) =>
        connection
            .Command(
                $"""
                select farm, position, equipment, boot, first_seq, last_seq, reason from {Table}
                where $1::text is null or farm = $1 order by position limit $2
                """,
                farmId,
                limit
            )
            .ListAsync(
                row => new UnpostedRow(
                    row.GetString(0),
                    new(
                        row.GetInt64(1),
                        row.GetString(2),
                        row.GetInt64(3),
                        row.GetInt64(4),
                        row.GetInt64(5),
                        row.GetString(6)
                    )
                ),
                cancellationToken
            );
}
