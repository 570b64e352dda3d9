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

    /// <summary>
    /// The shape of what is posted. Raise it when posting comes to say more or other things than the rows hold: farms posted in an older
    /// shape are then posted anew as the hub starts, beside their old rows.
    /// </summary>
    public const int Version = 3;

    /// <summary>The tables of this schema whose rows carry a generation.</summary>
    public static readonly string[] Tables = ["line", "flag", "tile", "level"];

    /// <summary>Makes the tables where they are missing.</summary>
    public static readonly string Definition = $"""
        create schema if not exists ledger;

        create table if not exists ledger.generation (
            farm text primary key,
            generation int not null,
            position bigint not null
        );

        -- Lines are those of all packs up to position under the register of register_position; below wanted_position a
        -- correction is still to be posted. Altering waits for whoever reads or posts and keeps all others waiting behind
        -- it, so it is done only where it must be.
        do $$ begin
            if not exists (select 1 from pg_attribute
                where attrelid = 'ledger.generation'::regclass and attname = 'register_position') then
                alter table ledger.generation add column register_position bigint, add column wanted_position bigint;
                update ledger.generation set register_position = position, wanted_position = position;
            end if;
            if exists (select 1 from pg_attribute
                where attrelid = to_regclass('ledger.line') and attname = 'flagged' and not attisdropped) then
                alter table ledger.line drop column flagged;
            end if;
            if not exists (select 1 from pg_attribute
                where attrelid = 'ledger.generation'::regclass and attname = 'shape') then
                alter table ledger.generation add column shape int not null default 1;
            end if;
        end $$;

        create table if not exists ledger.line (
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

        create table if not exists ledger.flag (
            farm text, generation int, field text, season int, hour bigint, applicator text, pit text, sensor text,
            rule text, intervals bigint not null, volume bigint not null,
            dm_sum numeric not null, tn_sum numeric not null, nh4n_sum numeric not null, p_sum numeric not null,
            k_sum numeric not null,
            dm_without bigint not null, tn_without bigint not null, nh4n_without bigint not null,
            p_without bigint not null, k_without bigint not null,
            primary key (farm, generation, season, field, hour, applicator, pit, sensor, rule)
        );

        create table if not exists ledger.tile (
            farm text, generation int, field text, season int, tile_row int, tile_column int,
            visits bytea not null, covered bytea not null, overlapped bytea not null,
            primary key (farm, generation, season, field, tile_row, tile_column)
        );

        -- A worked tile takes 2 to 3 kB and is small already; compressing it again would only make it dearer to write. Counts
        -- by row go up to 64: a byte each, where they once were arrays.
        do $$ begin
            if exists (select 1 from pg_attribute
                where attrelid = 'ledger.tile'::regclass and attname = 'covered' and atttypid = 'int[]'::regtype) then
                create function ledger.bytes_of(counts int[]) returns bytea language sql immutable as $of$
                    select string_agg(set_byte('\x00', 0, count), '' order by number)
                    from unnest(counts) with ordinality as of_row (count, number) $of$;
                alter table ledger.tile alter column covered type bytea using ledger.bytes_of(covered),
                    alter column overlapped type bytea using ledger.bytes_of(overlapped);
                drop function ledger.bytes_of(int[]);
            end if;
            if not exists (select 1 from pg_class
                where oid = 'ledger.tile'::regclass and 'toast_tuple_target=8160' = any(reloptions)) then
                alter table ledger.tile set (toast_tuple_target = 8160);
            end if;
        end $$;

        create table if not exists ledger.level (
            farm text, generation int, pit text, hour bigint,
            first_at bigint not null, first_mm int not null, last_at bigint not null, last_mm int not null,
            lowest_mm int not null, highest_mm int not null, readings bigint not null, sum_mm bigint not null,
            primary key (farm, generation, pit, hour)
        );

        create or replace function ledger.tell_posted() returns trigger language plpgsql as $$
        begin
            perform pg_notify('{PostedChannel}', new.farm || ' ' || new.position);
            return null;
        end $$;

        drop function if exists ledger.move_on(text, bigint, int, bigint);
        create or replace function ledger.move_on(
            farm_ text, generation_ int, from_ bigint, to_ bigint, register_ bigint, wanted_ bigint)
        returns void language plpgsql as $$
        begin
            insert into ledger.generation as old (farm, generation, position, register_position, wanted_position, shape)
            values (farm_, generation_, to_, register_, wanted_, {Version})
            on conflict (farm) do update set position = to_, register_position = register_, wanted_position = wanted_
                where old.generation = generation_ and old.position = from_;
            if not found then
                raise serialization_failure using message =
                    format('The ledger of %s is no longer at position %s: someone else has posted.', farm_, from_);
            end if;
        end $$;

        create or replace trigger tell_posted after insert or update on ledger.generation
            for each row execute function ledger.tell_posted();
        """;

    /// <summary>Whether a farm's live rows are in the shape in which lines are posted now.</summary>
    public static async Task<bool> IsCurrentVersionAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            "select shape = $2 from ledger.generation where farm = $1",
            farmId,
            Version
        );
        return await command.ExecuteScalarAsync(cancellationToken) is true;
    }

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
