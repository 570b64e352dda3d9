using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Persistence.Events;

/// <summary>
/// The table of the hash chains of farms, one row an event. A row is made by PostgreSQL in the command that inserts its
/// event, from the inserted row. The lock of the farm makes the order of positions the order of commits. See
/// <see cref="FarmChain"/>.
/// </summary>
internal static class FarmChainRows
{
    /// <summary>
    /// Makes the table, and an aggregate that chains one row to the next: the hash before the first row, and what a row
    /// covers.
    /// </summary>
    public const string Definition = $"""
        create table {Table} (farm text, position bigint, hash bytea not null, primary key (farm, position));

        create function journal.chain_next(before bytea, start bytea, content text) returns bytea
        language plpgsql immutable parallel safe as $$
        begin
            return sha256(coalesce(before, start) || convert_to(content, 'UTF8'));
        end $$;

        create aggregate {Chained} (start bytea, content text) (sfunc = journal.chain_next, stype = bytea);
        """;

    /// <summary>The table.</summary>
    public const string Table = "journal.chain";

    /// <summary>
    /// Chains events that were stored before there was this table, as they are now. What was changed before that, this
    /// cannot show.
    /// </summary>
    public const string ChainAll = $"""
        insert into {Table} (farm, position, hash)
        select farm, position, {Chained}(sha256(convert_to(farm, 'UTF8')), content)
            over (partition by farm order by position)
        from (select tenant_id as farm, seq_id as position, {Content} as content
            from journal.mt_events where type <> 'tombstone') as event
        """;

    /// <summary>What a row covers, of a row of Marten's event table.</summary>
    private const string Content = $"""
        concat(seq_id, chr(10), (extract(epoch from timestamp) * 1000000)::bigint, chr(10), headers ->> '{HashChain.HeaderName}')
        """;

    private const string Chained = "journal.chained";

    /// <summary>What the insertion of events returns for <see cref="Insert"/>.</summary>
    public const string Returned = $"tenant_id as farm, seq_id as position, {Content} as content";

    /// <summary>Chains the rows of <c>inserted</c> to the last row of their farms.</summary>
    public const string Insert = $"""
        insert into {Table} (farm, position, hash)
        select farm, position, {Chained}(head, content) over (partition by farm order by position)
        from inserted join (
            select farm, coalesce((select hash from {Table} as last where last.farm = farms.farm order by position desc limit 1),
                sha256(convert_to(farm, 'UTF8'))) as head
            from (select distinct farm from added) as farms) as heads using (farm)
        """;
}
