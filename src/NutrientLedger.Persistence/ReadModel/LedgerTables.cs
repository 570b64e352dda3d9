using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>
/// The tables of posted ledgers. Everything in them can be made again from the journal; rows carry a generation, and only those
/// of a farm's current generation are ever read.
/// </summary>
internal static class LedgerTables
{
    /// <summary>The channel on which PostgreSQL tells that a farm's ledger moved on; the text is "farm position".</summary>
    public const string PostedChannel = "ledger_posted";

    /// <summary>The tables of this schema whose rows carry a generation.</summary>
    public static readonly string[] Tables = ["line", "flag", "tile", "level"];

    /// <summary>Makes the tables.</summary>
    public static readonly string Definition = $"""
        create schema ledger;

        -- Lines are those of all batches up to position under the configuration at configuration_position. While that is
        -- below wanted_configuration_position, a correction is still to be posted.
        create table ledger.generation (
            farm text primary key,
            generation int not null,
            position bigint not null,
            configuration_position bigint not null,
            wanted_configuration_position bigint not null
        );

        create table ledger.line (
            farm text, generation int, field text, season int, hour bigint, applicator text, pit text, sensor text,
            volume bigint not null, disengaged bigint not null, not_placed bigint not null,
            unknown_intervals bigint not null, intervals bigint not null, area_travelled bigint not null,
            last_measured bigint not null,
            dm_sum numeric not null, tn_sum numeric not null, nh4n_sum numeric not null, p_sum numeric not null,
            k_sum numeric not null,
            dm_without bigint not null, tn_without bigint not null, nh4n_without bigint not null,
            p_without bigint not null, k_without bigint not null,
            primary key (farm, generation, season, field, hour, applicator, pit, sensor)
        );

        create table ledger.flag (
            farm text, generation int, field text, season int, hour bigint, applicator text, pit text, sensor text,
            rule text, intervals bigint not null, volume bigint not null,
            dm_sum numeric not null, tn_sum numeric not null, nh4n_sum numeric not null, p_sum numeric not null,
            k_sum numeric not null,
            dm_without bigint not null, tn_without bigint not null, nh4n_without bigint not null,
            p_without bigint not null, k_without bigint not null,
            primary key (farm, generation, season, field, hour, applicator, pit, sensor, rule)
        );

        -- A worked tile takes 2 to 3 kB and is small already: compressing it again would only make it dearer to write.
        create table ledger.tile (
            farm text, generation int, field text, season int, tile_row int, tile_column int,
            visits bytea not null, covered bytea not null, overlapped bytea not null,
            primary key (farm, generation, season, field, tile_row, tile_column)
        ) with (toast_tuple_target = 8160);

        create table ledger.level (
            farm text, generation int, pit text, hour bigint,
            first_at bigint not null, first_mm int not null, last_at bigint not null, last_mm int not null,
            lowest_mm int not null, highest_mm int not null, readings bigint not null, sum_mm bigint not null,
            primary key (farm, generation, pit, hour)
        );

        create function ledger.notify_posted() returns trigger language plpgsql as $$
        begin
            perform pg_notify('{PostedChannel}', new.farm || ' ' || new.position);
            return null;
        end $$;

        create trigger notify_posted after insert or update on ledger.generation
            for each row execute function ledger.notify_posted();

        create function ledger.advance(
            farm_ text, generation_ int, from_ bigint, to_ bigint, configuration_ bigint, wanted_ bigint)
        returns void language plpgsql as $$
        begin
            insert into ledger.generation as old
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

    /// <summary>The columns of a table but the generation, with commas between them.</summary>
    public static async Task<string> ColumnsAsync(
        NpgsqlConnection connection,
        string table,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            select string_agg(quote_ident(attname), ', ' order by attnum) from pg_attribute
            where attrelid = $1::regclass and attnum > 0 and not attisdropped and attname <> 'generation'
            """,
            $"ledger.{table}"
        );
        return (string)(await command.ExecuteScalarAsync(cancellationToken))!;
    }
}
