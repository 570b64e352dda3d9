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

        create function journal.chain_next(before bytea, start bytea, place bigint, recorded_at timestamptz, stream_hash text)
        returns bytea language plpgsql immutable parallel safe as $$
        begin
            return sha256(coalesce(before, start) || convert_to(concat(place, chr(10),
                (extract(epoch from recorded_at) * 1000000)::bigint, chr(10), stream_hash), 'UTF8'));
        end $$;

        create aggregate journal.chained (start bytea, place bigint, recorded_at timestamptz, stream_hash text)
            (sfunc = journal.chain_next, stype = bytea);
        """;

    /// <summary>The table.</summary>
    public const string Table = "journal.chain";

    /// <summary>
    /// Chains events that were stored before there was this table, as they are now. What was changed before that, this
    /// cannot show.
    /// </summary>
    public const string ChainAll = $"""
        insert into {Table} (farm, position, hash)
        select farm, position, journal.chained(sha256(convert_to(farm, 'UTF8')), position, recorded_at, stream_hash)
            over (partition by farm order by position)
        from journal.event
        """;

    /// <summary>
    /// Chains rows of <c>inserted</c> (farm, position, recorded_at, stream_hash) to the last row of their farms.
    /// </summary>
    public const string Insert = $"""
        insert into {Table} (farm, position, hash)
        select farm, position, journal.chained(head, position, recorded_at, stream_hash)
            over (partition by farm order by position)
        from inserted join (
            select farm, coalesce((select hash from {Table} as last where last.farm = farms.farm order by position desc limit 1),
                sha256(convert_to(farm, 'UTF8'))) as head
            from (select distinct farm from added) as farms) as heads using (farm)
        """;
}
