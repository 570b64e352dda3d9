namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>The list of refused messages, and the count of those that were one too many to be kept.</summary>
internal static class DeadLetterTables
{
    /// <summary>
    /// Makes what is missing, also on a table of an earlier version. A message whose topic names no known farm is kept in the
    /// budget "", which all such messages share; "beyond" tells in which limit's place for the newest it stands.
    /// </summary>
    public const string Definition = """
        create table if not exists intake.refused (
            id bigint generated always as identity primary key,
            recorded_at timestamptz not null default now(),
            topic text not null, payload bytea not null, reason text not null
        );
        do $$ begin
            if not exists (select 1 from pg_attribute
                where attrelid = 'intake.refused'::regclass and attname = 'fingerprint' and not attisdropped) then
                alter table intake.refused add column farm text, add column equipment text, add column stream text,
                    add column content_type text, add column fingerprint bytea, add column budget text not null default '',
                    add column sender text not null default '', add column beyond text,
                    add column times bigint not null default 1, add column last_at timestamptz not null default now(),
                    add column state text not null default 'open', add column offered_at timestamptz,
                    add column closed_at timestamptz, add column closed_by text, add column closed_because text;
                update intake.refused set farm = split_part(topic, '/', 3), equipment = split_part(topic, '/', 4),
                    stream = split_part(topic, '/', 5), budget = split_part(topic, '/', 3),
                    sender = split_part(topic, '/', 4), last_at = recorded_at
                where topic ~ '^agri/v1/[a-z0-9-]{1,40}/[a-z0-9-]{1,40}/(spread|store|weather)$';
            end if;
        end $$;
        create unique index if not exists refused_once on intake.refused (fingerprint) where state = 'open';
        create index if not exists refused_open on intake.refused (budget, sender) where state = 'open';
        create index if not exists refused_of_farm on intake.refused (farm, id);

        create table if not exists intake.refused_not_kept (
            budget text, sender text, messages bigint not null, bytes bigint not null,
            first_at timestamptz not null, last_at timestamptz not null, why text not null,
            primary key (budget, sender)
        );
        """;
}
