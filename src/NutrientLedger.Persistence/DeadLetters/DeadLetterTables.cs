namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>The list of rejected messages, and the count of those that were one too many to be kept.</summary>
internal static class DeadLetterTables
{
    /// <summary>
    /// Makes the tables. A message whose topic names no known farm counts against the quota "", which all such messages share.
    /// The column over_limit names the limit in whose place for the newest a message stands.
    /// </summary>
    public const string Definition = """
        create table ingestion.dead_letter (
            id bigint generated always as identity primary key,
            recorded_at timestamptz not null, last_at timestamptz not null, occurrences bigint not null,
            topic text not null, content_type text, payload bytea not null, fingerprint bytea not null,
            farm text, equipment text, stream text,
            quota text not null, device text not null, over_limit text,
            reason text not null, state text not null default 'open',
            retried_at timestamptz, closed_at timestamptz, closed_by text, close_reason text
        );
        create unique index dead_letter_once on ingestion.dead_letter (fingerprint) where state = 'open';
        create index dead_letter_open on ingestion.dead_letter (quota, device) where state = 'open';
        create index dead_letter_of_farm on ingestion.dead_letter (farm, id);

        create table ingestion.dead_letter_overflow (
            quota text, device text, messages bigint not null, bytes bigint not null,
            first_at timestamptz not null, last_at timestamptz not null, reason text not null,
            primary key (quota, device)
        );
        """;
}
