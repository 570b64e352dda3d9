namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>The tables beside the journal: numbers seen and how senders fare.</summary>
internal static class ReceivedRangeTables
{
    /// <summary>Makes the tables where they are missing.</summary>
    public const string Definition = """
        create schema if not exists intake;

        create table if not exists intake.seen (
            farm text, equipment text, stream text, boot bigint,
            numbers int8multirange not null, ends bytea[] not null,
            primary key (farm, equipment, stream, boot)
        );
        -- Altering waits for whoever appends and keeps all others waiting behind it, so it is done only where it must be.
        -- Of rows older than these columns it is not known since when their numbers are missing; from now on it is.
        do $$ begin
            if not exists (select 1 from pg_attribute
                where attrelid = 'intake.seen'::regclass and attname = 'holes_since' and not attisdropped) then
                alter table intake.seen add column announced bigint not null default 0,
                    add column holes_since timestamptz[], add column missing bigint not null default 0;
                update intake.seen set
                    holes_since = array(select now() from unnest(int8multirange(int8range(1, upper(numbers))) - numbers)),
                    missing = (select coalesce(sum(upper(hole) - lower(hole)), 0)
                        from unnest(int8multirange(int8range(1, upper(numbers))) - numbers) as hole);
                alter table intake.seen alter column holes_since set not null;
            end if;
        end $$;
        create index if not exists seen_missing on intake.seen (farm) where missing > 0;

        create table if not exists intake.device (
            farm text, equipment text, stream text,
            last_recorded_at timestamptz not null, last_measured_at timestamptz,
            stored bigint not null, duplicate bigint not null, doubtful bigint not null,
            primary key (farm, equipment, stream)
        );
        do $$ begin
            if not exists (select 1 from pg_attribute
                where attrelid = 'intake.device'::regclass and attname = 'clock_since' and not attisdropped) then
                alter table intake.device add column clock_since timestamptz, add column clock_lag bigint,
                    add column clock_lag_before bigint;
            end if;
        end $$;
        """;
}
