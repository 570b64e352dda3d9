namespace NutrientLedger.Store;

/// <summary>The tables beside the journal: numbers seen and how senders fare.</summary>
internal static class IntakeTables
{
    /// <summary>Makes the tables where they are missing.</summary>
    public const string Definition = """
        create schema if not exists intake;

        create table if not exists intake.seen (
            farm text, equipment text, stream text, boot bigint,
            numbers int8multirange not null, ends bytea[] not null,
            primary key (farm, equipment, stream, boot)
        );
        alter table intake.seen
            add column if not exists announced bigint not null default 0,
            add column if not exists holes_since timestamptz[], add column if not exists missing bigint not null default 0;
        -- Of rows older than these columns it is not known since when their numbers are missing; from now on it is.
        update intake.seen set
            holes_since = array(select now() from unnest(int8multirange(int8range(1, upper(numbers))) - numbers)),
            missing = (select coalesce(sum(upper(hole) - lower(hole)), 0)
                from unnest(int8multirange(int8range(1, upper(numbers))) - numbers) as hole)
        where holes_since is null;
        alter table intake.seen alter column holes_since set not null;
        create index if not exists seen_missing on intake.seen (farm) where missing > 0;

        create table if not exists intake.device (
            farm text, equipment text, stream text,
            last_recorded_at timestamptz not null, last_measured_at timestamptz,
            stored bigint not null, duplicate bigint not null, doubtful bigint not null,
            primary key (farm, equipment, stream)
        );
        alter table intake.device
            add column if not exists clock_since timestamptz, add column if not exists clock_lag bigint,
            add column if not exists clock_lag_before bigint;
        """;
}
