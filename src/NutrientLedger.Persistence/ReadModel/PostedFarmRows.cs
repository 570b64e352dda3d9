using Npgsql;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>
/// The tables that say how far each farm's ledger is posted, and which generation of each partition is read.
/// </summary>
internal static class PostedFarmRows
{
    /// <summary>The channel on which PostgreSQL notifies "farm position" whenever a ledger has moved on.</summary>
    public const string PostedChannel = "ledger_posted";

    /// <summary>
    /// Makes the tables. A ledger moves on only from where the writer read it, so that nothing is posted twice, or into
    /// a generation that was switched away from.
    /// </summary>
    public const string Definition = $"""
        create table {Table} (
            farm text primary key,
            generation int not null,
            level_generation int not null,
            position bigint not null,
            configuration_position bigint not null,
            wanted_configuration_position bigint not null,
            has_shadow_rows boolean not null default false
        );

        create table {PartitionTable} (
            farm text, season int, applicator text, generation int not null, primary key (farm, season, applicator)
        );

        create function ledger.notify_posted() returns trigger language plpgsql as $$
        begin
            perform pg_notify('{PostedChannel}', new.farm || ' ' || new.position);
            return null;
        end $$;

        create trigger notify_posted after insert or update on {Table}
            for each row execute function ledger.notify_posted();

        create function ledger.advance(
            farm_ text, generation_ int, from_ bigint, to_ bigint, configuration_ bigint, wanted_ bigint)
        returns void language plpgsql as $$
        begin
            insert into {Table} as old
                (farm, generation, level_generation, position, configuration_position, wanted_configuration_position)
            values (farm_, generation_, generation_, to_, configuration_, wanted_)
            on conflict (farm) do update set position = to_, configuration_position = configuration_,
                wanted_configuration_position = wanted_
                where old.generation = generation_ and old.position = from_;
            if not found then
                raise serialization_failure using message =
                    format('The ledger of %s is no longer at position %s: someone else has posted.', farm_, from_);
            end if;
        end $$;
        """;

    /// <summary>Each farm and the position up to which its batches are posted.</summary>
    public const string Posted = $"select farm, position from {Table}";

    /// <summary>The oldest position that a correction waits for.</summary>
    public const string OldestWanted =
        $"select min(wanted_configuration_position) from {Table} where {AwaitsCorrection}";

    /// <summary>The generations that are read. Ledger rows are joined with them.</summary>
    public const string PartitionTable = "ledger.partition";

    private const string Table = "ledger.farm";

    private const string AwaitsCorrection = "configuration_position < wanted_configuration_position";

    private const string AddPartitions = $"""
        insert into {PartitionTable} (farm, season, applicator, generation) select ?, season, applicator, ?
        from unnest(?, ?) as posted (season, applicator) on conflict do nothing
        """;

    public static async Task<PostedFarm?> ReadAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    ) => (await ReadAsync(connection, [farmId], cancellationToken)).GetValueOrDefault(farmId);

    /// <summary>How far these farms are posted, in one round trip. Others than those asked for have no entry.</summary>
    public static async Task<Dictionary<string, PostedFarm>> ReadAsync(
        NpgsqlConnection connection,
        string[] farmIds,
        CancellationToken cancellationToken
    )
    {
        await using var reads = new NpgsqlBatch(connection)
        {
            BatchCommands =
            {
                SqlCommands.BatchCommand(
                    $"""
                    select farm, generation, level_generation, position, configuration_position,
                        wanted_configuration_position, has_shadow_rows
                    from {Table} where farm = any($1)
                    """,
                    // An array of text alone would be taken for the list of parameters.
                    (object)farmIds
                ),
                SqlCommands.BatchCommand(UnpostedRows.CountByFarm, (object)farmIds),
                SqlCommands.BatchCommand(
                    $"select farm, season, applicator, generation from {PartitionTable} where farm = any($1)",
                    (object)farmIds
                ),
            },
        };
        await using var rows = await reads.ExecuteReaderAsync(cancellationToken);
        var farms = new Dictionary<string, PostedFarm>();
        while (await rows.ReadAsync(cancellationToken))
            farms.Add(
                rows.GetString(0),
                new(
                    rows.GetString(0),
                    rows.GetInt32(1),
                    rows.GetInt32(2),
                    rows.GetInt64(3),
                    rows.GetInt64(4),
                    rows.GetInt64(5),
                    rows.GetBoolean(6)
                )
            );
        await rows.NextResultAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            if (farms.TryGetValue(rows.GetString(0), out var farm))
                farms[farm.FarmId] = farm with { UnpostedBatches = (int)rows.GetInt64(1) };
        await rows.NextResultAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            if (farms.TryGetValue(rows.GetString(0), out var farm))
                farm.Partitions.Add(new(rows.GetInt32(1), rows.GetString(2)), rows.GetInt32(3));
        return farms;
    }

    /// <summary>Queues partitions that are posted for the first time.</summary>
    public static void Add(QueueSqlCommand queue, PostedFarm farm, IEnumerable<Partition> posted)
    {
        Partition[] added = [.. posted.Where(partition => !farm.Partitions.ContainsKey(partition))];
        if (added.Length > 0)
            queue(AddPartitions, [farm.FarmId, farm.Generation, .. KeyValues(added)]);
    }

    /// <summary>Queues that a farm's ledger moves on. It fails if someone else moved it on meanwhile.</summary>
    public static void Advance(
        QueueSqlCommand queue,
        PostedFarm from,
        long to,
        long configurationPosition,
        long wantedPosition
    ) =>
        queue(
            "select ledger.advance(?, ?, ?, ?, ?, ?)",
            from.FarmId,
            from.Generation,
            from.Position,
            to,
            configurationPosition,
            wantedPosition
        );

    /// <summary>Locks a farm's row until the transaction ends.</summary>
    public static Task LockAsync(NpgsqlConnection connection, string farmId, CancellationToken cancellationToken) =>
        connection.ExecuteAsync($"select 1 from {Table} where farm = $1 for update", cancellationToken, farmId);

    /// <summary>Notes whether a farm may have rows that nobody reads.</summary>
    public static Task NoteShadowRowsAsync(
        NpgsqlConnection connection,
        string farmId,
        bool some,
        CancellationToken cancellationToken
    ) =>
        connection.ExecuteAsync(
            $"update {Table} set has_shadow_rows = $2 where farm = $1",
            cancellationToken,
            farmId,
            some
        );

    /// <summary>Switches partitions, and levels if they were posted too, to a new generation.</summary>
    public static async Task SwitchAsync(
        NpgsqlConnection connection,
        string farmId,
        int generation,
        long configurationPosition,
        IReadOnlyCollection<Partition> partitions,
        bool levels,
        CancellationToken cancellationToken
    )
    {
        await connection.ExecuteAsync(
            $"""
            update {Table} set generation = $2, configuration_position = $3,
                level_generation = case when $4 then $2 else level_generation end where farm = $1
            """,
            cancellationToken,
            farmId,
            generation,
            configurationPosition,
            levels
        );
        await connection.ExecuteAsync(
            $"""
            insert into {PartitionTable} as old (farm, season, applicator, generation)
            select $1, season, applicator, $2 from unnest($3, $4) as switched (season, applicator)
            on conflict (farm, season, applicator) do update set generation = excluded.generation
            """,
            cancellationToken,
            [farmId, generation, .. KeyValues([.. partitions])]
        );
    }

    /// <summary>Farms with a correction to post, the oldest first.</summary>
    public static Task<List<string>> AwaitingCorrectionAsync(
        NpgsqlDataSource source,
        CancellationToken cancellationToken
    ) =>
        source
            .Command($"select farm from {Table} where {AwaitsCorrection} order by wanted_configuration_position")
            .ListAsync(row => row.GetString(0), cancellationToken);

    /// <summary>Farms that may have rows nobody reads: a rebuild is at work, or was killed.</summary>
    public static Task<List<string>> WithShadowRowsAsync(
        NpgsqlDataSource source,
        CancellationToken cancellationToken
    ) =>
        source
            .Command($"select farm from {Table} where has_shadow_rows")
            .ListAsync(row => row.GetString(0), cancellationToken);

    /// <summary>The arrays of values for season and applicator.</summary>
    public static IEnumerable<object> KeyValues(Partition[] partitions) =>
        [
            Array.ConvertAll(partitions, partition => partition.Season),
            Array.ConvertAll(partitions, partition => partition.ApplicatorId),
        ];
}
