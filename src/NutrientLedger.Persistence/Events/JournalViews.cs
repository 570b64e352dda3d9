using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Persistence.Events;

/// <summary>
/// Marten's tables under the journal's own names, and how rows are added to them. Only this place knows them. A view
/// costs nothing: PostgreSQL puts its text into the query and uses the tables' indexes. A later version that changes
/// those tables drops the views first.
/// </summary>
internal static class JournalViews
{
    /// <summary>Moves streams to a version: $1 farms, $2 streams, $3 versions.</summary>
    public const string MoveStreams = """
        insert into journal.mt_streams (tenant_id, id, version, timestamp)
        select farm, stream, version, now() from unnest($1, $2, $3) as moved (farm, stream, version)
        on conflict (tenant_id, id) do update set version = excluded.version, timestamp = excluded.timestamp
        """;

    /// <summary>
    /// Inserts events in the order given: $1 farms, $2 ids, $3 streams, $4 versions, $5 JSON, $6 batches as bytes, $7
    /// stored names, $8 .NET types, $9 headers, $10 times of recording. It chains them to their farms. Of batches it
    /// inserts their spans too: $11 to $17, the columns of <see cref="BatchSpan"/>, null for any other event.
    /// </summary>
    public const string InsertEvents = $"""
        with added as materialized (
            select nextval('journal.mt_events_sequence') as position, given.*
            from (select * from unnest($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)
                with ordinality as given (farm, id, event_stream, version, data, bdata, type, clr, headers, recorded_at,
                    {BatchSpanRows.Columns}, number)
                order by number) as given
        ), inserted as (
            insert into journal.mt_events
                (seq_id, tenant_id, id, stream_id, version, data, bdata, type, mt_dotnet_type, headers, timestamp, is_archived)
            select position, farm, id, event_stream, version, data::jsonb, bdata, type, clr, headers::jsonb, recorded_at,
                false
            from added
            returning tenant_id as farm, seq_id as position, timestamp as recorded_at,
                headers ->> '{HashChain.HeaderName}' as stream_hash
        ), chained as (
            {FarmChainRows.Insert}
        )
        insert into {BatchSpanRows.Table} (farm, {BatchSpanRows.Columns}, position)
        select farm, {BatchSpanRows.Columns}, position from added where equipment is not null
        """;

    /// <summary>Makes the view of events, or adds columns to the one of version 3.</summary>
    public const string EventView = $"""
        create or replace view journal.event as
        select seq_id as position, timestamp as recorded_at, tenant_id as farm, stream_id as stream, version, type,
            bdata as batch, coalesce(bdata, convert_to(data::text, 'UTF8')) as body,
            headers ->> '{HashChain.HeaderName}' as stream_hash, id
        from journal.mt_events where type <> 'tombstone';
        """;

    /// <summary>
    /// Makes the views. An event's body is the batch of readings as its bytes, or the JSON of any other event in UTF-8.
    /// The column batch holds the same bytes and saves a check for each row. Marten's tombstones are numbers that an
    /// aborted append used up. They are not events.
    /// </summary>
    /// <param name="projection">The name under which Marten keeps how far ledgers are posted.</param>
    public static string Definition(string projection) =>
        $"""
            {EventView}

            create view journal.stream as
            select tenant_id as farm, id as stream, version from journal.mt_streams;

            create view journal.progress as
            select last_seq_id as posted_position from journal.mt_event_progression where name like '{projection}:%';
            """;
}
