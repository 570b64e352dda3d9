using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>The table of the generation of a farm's rows that is read, and how far it is posted.</summary>
internal static class GenerationRows
{
    /// <summary>
    /// The channel on which PostgreSQL notifies that a farm's ledger moved on. The text is "farm position".
    /// </summary>
    public const string PostedChannel = "ledger_posted";

    /// <summary>
    /// Makes the table, the function that moves a farm's ledger on, and the trigger that notifies of it. Lines are
    /// those of all batches up to position under the configuration at configuration_position. While that is below
    /// wanted_configuration_position, a correction is still to be posted.
    /// </summary>
    public const string Definition = $"""
        create table {Table} (
            farm text primary key,
            generation int not null,
            position bigint not null,
            configuration_position bigint not null,
            wanted_configuration_position bigint not null
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
                (farm, generation, position, configuration_position, wanted_configuration_position)
            values (farm_, generation_, to_, configuration_, wanted_)
            on conflict (farm) do update set position = to_, configuration_position = configuration_,
                wanted_configuration_position = wanted_
                where old.generation = generation_ and old.position = from_;
            if not found then
                raise serialization_failure using message =
                    format('The ledger of %s is no longer at position %s: someone else has posted.', farm_, from_);
            end if;
        end $$;
        """;

    /// <summary>
    /// A query for each farm and the position up to which its ledger is posted, as farm and position.
    /// </summary>
    public const string Posted = $"select farm, position from {Table}";

    /// <summary>
    /// A query for the oldest configuration position that some farm's ledger still waits for, or null.
    /// </summary>
    public const string OldestWanted =
        $"select min(wanted_configuration_position) from {Table} where {AwaitsCorrection}";

    private const string Table = "ledger.generation";

    private const string AwaitsCorrection = "configuration_position < wanted_configuration_position";

    /// <summary>
    /// Farms with rows that nobody reads. A hub died while it built a shadow generation, or before the old rows were
    /// deleted.
    /// </summary>
    private static readonly string Orphaned =
        $"select farm from {Table} live where "
        + string.Join(
            " or ",
            LedgerTables.Tables.Select(table =>
                $"exists (select 1 from ledger.{table.Name} row where row.farm = live.farm and row.generation <> live.generation)"
            )
        );

    /// <summary>The generation of a farm that is read. Null while nothing of it is posted.</summary>
    public static async Task<CurrentGeneration?> CurrentAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    ) => (await CurrentAsync(connection, [farmId], cancellationToken)).GetValueOrDefault(farmId);

    /// <summary>The generations of farms that are read, by farm. A farm of which nothing is posted has none.</summary>
    public static async Task<Dictionary<string, CurrentGeneration>> CurrentAsync(
        NpgsqlConnection connection,
        string[] farmIds,
        CancellationToken cancellationToken
    )
    {
        var current = await connection
            .Command(
                $"""
                select farm, generation, position, configuration_position, wanted_configuration_position from {Table}
                where farm = any($1)
                """,
                // An array of text alone would be taken for the list of parameters.
                (object)farmIds
            )
            .ListAsync(
                row => new CurrentGeneration(
                    row.GetString(0),
                    row.GetInt32(1),
                    row.GetInt64(2),
                    row.GetInt64(3),
                    row.GetInt64(4)
                ),
                cancellationToken
            );
        return current.ToDictionary(it => it.FarmId);
    }

    /// <summary>Locks a farm's ledger at its position until the transaction ends.</summary>
    public static Task LockAsync(NpgsqlConnection connection, string farmId, CancellationToken cancellationToken) =>
        connection.ExecuteAsync($"select 1 from {Table} where farm = $1 for update", cancellationToken, farmId);

    /// <summary>Makes another generation of a farm the one that is read.</summary>
    public static Task SwitchAsync(
        NpgsqlConnection connection,
        string farmId,
        int generation,
        long configurationPosition,
        CancellationToken cancellationToken
    ) =>
        connection.ExecuteAsync(
            $"update {Table} set generation = $2, configuration_position = $3 where farm = $1",
            cancellationToken,
            farmId,
            generation,
            configurationPosition
        );

    /// <summary>Farms whose ledgers wait for a correction, the oldest correction first.</summary>
    public static Task<List<string>> AwaitingCorrectionAsync(
        NpgsqlDataSource source,
        CancellationToken cancellationToken
    ) =>
        FarmsAsync(
            source,
            $"select farm from {Table} where {AwaitsCorrection} order by wanted_configuration_position",
            cancellationToken
        );

    /// <summary>Farms with rows of generations that nobody reads.</summary>
    public static Task<List<string>> OrphanedAsync(NpgsqlDataSource source, CancellationToken cancellationToken) =>
        FarmsAsync(source, Orphaned, cancellationToken);

    private static Task<List<string>> FarmsAsync(
        NpgsqlDataSource source,
        string sql,
        CancellationToken cancellationToken
    ) => source.Command(sql).ListAsync(row => row.GetString(0), cancellationToken);
}
