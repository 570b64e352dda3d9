namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>The tables beside the journal: received ranges and how devices fare.</summary>
internal static class ReceivedRangeTables
{
    /// <summary>Makes the tables.</summary>
    public const string Definition = """
        create schema ingestion;

        create table ingestion.received_range (
            farm text, equipment text, stream text, boot bigint,
            ranges int8multirange not null, range_ends bytea[] not null,
            announced_last_seq bigint not null, gaps_since timestamptz[] not null, missing_readings bigint not null,
            primary key (farm, equipment, stream, boot)
        );
        create index received_range_missing on ingestion.received_range (farm) where missing_readings > 0;

        create table ingestion.device (
            farm text, equipment text, stream text,
            last_recorded_at timestamptz not null, last_measured_at timestamptz,
            readings_stored bigint not null, readings_duplicate bigint not null, readings_questionable bigint not null,
            clock_lag_ms bigint, clock_lag_previous_ms bigint, clock_lag_since timestamptz,
            primary key (farm, equipment, stream)
        );
        """;
}
