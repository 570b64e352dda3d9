using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Persistence.Events;

/// <summary>
/// Marten's tables under the journal's own names. Only this place knows them. A view costs nothing: PostgreSQL puts its
/// text into the query and uses the tables' indexes. A later version that changes those tables drops the views first.
/// </summary>
internal static class JournalViews
{
    /// <summary>
    /// Makes the views. An event's body is the batch of readings as its bytes, or the JSON of any other event in UTF-8.
    /// The column batch holds the same bytes and saves a check for each row. Marten's tombstones are numbers that an
    /// aborted append used up. They are not events.
    /// </summary>
    /// <param name="projection">The name under which Marten keeps how far ledgers are posted.</param>
    public static string Definition(string projection) =>
        $"""
            create view journal.event as
            select seq_id as position, timestamp as recorded_at, tenant_id as farm, stream_id as stream, version, type,
                bdata as batch, coalesce(bdata, convert_to(data::text, 'UTF8')) as body,
                headers ->> '{HashChain.HeaderName}' as chain_hash
            from journal.mt_events where type <> 'tombstone';

            create view journal.stream as
            select tenant_id as farm, id as stream, version from journal.mt_streams;

            create view journal.progress as
            select last_seq_id as posted_position from journal.mt_event_progression where name like '{projection}:%';
            """;
}
