using System.Globalization;
using System.Text;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Events;

/// <summary>An event to be appended to a stream of a farm, with the id derived from its content.</summary>
internal sealed record NewEvent(string StreamKey, Guid Id, IJournalEvent Event);

/// <summary>A stream of a farm.</summary>
internal readonly record struct FarmStream(string FarmId, string StreamKey);

/// <summary>
/// Appends events of any number of farms in the caller's transaction, with a fixed number of statements. Each event is
/// chained to the one before it in its stream, and to the one before it in its farm. Marten reads the rows and does not
/// write them: its own append takes a round trip for each farm. <c>MartenRowsTests</c> holds both against each other.
/// </summary>
/// <remarks>
/// The caller holds the lock of every farm. So it is the only writer of their streams, over all processes, until the
/// transaction ends.
/// </remarks>
internal sealed class EventAppend
{
    /// <summary>The channel on which PostgreSQL notifies that events were appended. The text is empty.</summary>
    public const string AppendedChannel = "journal_appended";

    private readonly Dictionary<FarmStream, (long Version, string Hash)> heads = [];
    private readonly HashSet<FarmStream> written = [];
    private readonly List<Row> rows = [];

    /// <summary>
    /// The command that locks the journals of those farms that exist, in ordinal order, until the transaction ends. It
    /// returns them.
    /// </summary>
    /// <param name="farmIds">
    /// The farms in ordinal order, which all hubs keep, so that two never wait in a circle.
    /// </param>
    public static NpgsqlBatchCommand Lock(string[] farmIds) =>
        SqlCommands.BatchCommand(
            $"""
            select farm, {AdvisoryLocks.LockSql("$2", "farm")} from (
                select farm from unnest($1) with ordinality as wanted (farm, number)
                where exists (select 1 from journal.stream where stream.farm = wanted.farm) order by number) as known
            """,
            farmIds,
            AdvisoryLock.FarmJournal("").Name
        );

    /// <summary>
    /// The command that reads version and chain hash of the last event of streams. Run it under the lock.
    /// </summary>
    public static NpgsqlBatchCommand ReadHeads(IReadOnlyCollection<FarmStream> streams) =>
        SqlCommands.BatchCommand(
            """
            select last.farm, last.stream, last.version, last.stream_hash
            from unnest($1, $2) as wanted (farm, stream) cross join lateral (
                select farm, stream, version, stream_hash from journal.event
                where farm = wanted.farm and stream = wanted.stream order by version desc limit 1) as last
            """,
            streams.Select(stream => stream.FarmId).ToArray(),
            streams.Select(stream => stream.StreamKey).ToArray()
        );

    /// <summary>Takes a row of <see cref="ReadHeads"/>.</summary>
    public void AddHead(NpgsqlDataReader row) =>
        heads[new(row.GetString(0), row.GetString(1))] = (row.GetInt64(2), row.GetString(3));

    /// <summary>The version of a stream's last event; 0 for a new stream.</summary>
    public long VersionOf(FarmStream stream) => heads.GetValueOrDefault(stream).Version;

    /// <summary>Chains an event on. Events of a stream are appended in the order of these calls.</summary>
    public void Add(string farmId, NewEvent added, DateTimeOffset now)
    {
        var stream = new FarmStream(farmId, added.StreamKey);
        var (version, hash) = heads.TryGetValue(stream, out var head)
            ? head
            : (0, HashChain.Start(farmId, added.StreamKey));
        var type = EventTypes.Of(added.Event);
        var body = type.Encode(added.Event);
        hash = HashChain.Next(hash, ++version, added.Id, type.StoredName, body);
        heads[stream] = (version, hash);
        written.Add(stream);
        rows.Add(
            new(
                stream,
                added.Id,
                version,
                type.IsBatch ? "{}" : Encoding.UTF8.GetString(body),
                type.IsBatch ? body : null,
                type.StoredName,
                $"{type.Type.FullName}, {type.Type.Assembly.GetName().Name}",
                string.Create(CultureInfo.InvariantCulture, $$"""{"{{HashChain.HeaderName}}": "{{hash}}"}"""),
                now,
                BatchSpan.Of(added.Event)
            )
        );
    }

    /// <summary>
    /// The commands that write everything added, and wake whoever waits for events. None for nothing.
    /// </summary>
    public IEnumerable<NpgsqlBatchCommand> Commands()
    {
        if (rows.Count == 0)
            yield break;
        FarmStream[] streams = [.. written];
        yield return SqlCommands.BatchCommand(
            JournalViews.MoveStreams,
            Array.ConvertAll(streams, stream => stream.FarmId),
            Array.ConvertAll(streams, stream => stream.StreamKey),
            Array.ConvertAll(streams, stream => heads[stream].Version)
        );
        yield return SqlCommands.BatchCommand(
            JournalViews.InsertEvents,
            Column(row => row.Stream.FarmId),
            Column(row => row.Id),
            Column(row => row.Stream.StreamKey),
            Column(row => row.Version),
            Column(row => row.Data),
            Column(row => row.Batch),
            Column(row => row.StoredName),
            Column(row => row.ClrType),
            Column(row => row.Headers),
            Column(row => row.RecordedAt),
            Column(row => row.Span?.Stream),
            Column(row => row.Span?.EquipmentId),
            Column(row => row.Span?.Boot),
            Column(row => row.Span?.FirstSeq),
            Column(row => row.Span?.LastSeq),
            Column(row => row.Span?.MeasuredFrom),
            Column(row => row.Span?.MeasuredTo)
        );
        yield return new($"notify {AppendedChannel}");
    }

    private T[] Column<T>(Func<Row, T> of) => [.. rows.Select(of)];

    private sealed record Row(
        FarmStream Stream,
        Guid Id,
        long Version,
        string Data,
        byte[]? Batch,
        string StoredName,
        string ClrType,
        string Headers,
        DateTimeOffset RecordedAt,
        BatchSpan? Span
    );
}
