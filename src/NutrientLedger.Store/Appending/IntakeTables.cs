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
