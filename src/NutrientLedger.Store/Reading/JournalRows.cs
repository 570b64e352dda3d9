using System.Globalization;
using System.Runtime.CompilerServices;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>An entry as it stands in the journal.</summary>
public sealed record JournalRow(long Position, DateTimeOffset RecordedAt, IEntry Entry);

/// <summary>Reads journal rows straight from the event table, in the order of their positions, without holding them all in memory.</summary>
internal sealed class JournalRows(NpgsqlDataSource source)
{
    /// <summary>The stream that holds a farm's rare entries.</summary>
    public const string RegisterStream = "register";

    private const string Row = "seq_id, timestamp, type, coalesce(bdata, convert_to(data::text, 'UTF8'))";

    /// <summary>So often those who wait are told how far it has come.</summary>
    private const int PacksTold = 1_000;

    /// <summary>The stored names of packs of telemetry.</summary>
    public static readonly string[] PackNames =
    [
        .. StoredNames.ByType.Where(name => EntryForm.IsPack(name.Key)).Select(name => name.Value),
    ];

    /// <summary>The rare entries of a farm after one position and up to another.</summary>
    public IAsyncEnumerable<JournalRow> RareAsync(
        string farmId,
        long after,
        long upTo,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            $"""
            select {Row} from journal.mt_events
            where tenant_id = $1 and stream_id = '{RegisterStream}' and seq_id > $2 and seq_id <= $3 order by seq_id
            """,
            [farmId, after, upTo],
            cancellationToken
        );

    /// <summary>The packs of a farm after one position and up to another.</summary>
    public IAsyncEnumerable<JournalRow> PacksAsync(
        string farmId,
        long after,
        long upTo,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            $"""
            select {Row} from journal.mt_events
            where tenant_id = $1 and type = any($2) and seq_id > $3 and seq_id <= $4 order by seq_id
            """,
            [farmId, PackNames, after, upTo],
            cancellationToken
        );

    /// <summary>
    /// The packs of one stream of a farm up to a position, of some senders (of all when none is named), recorded on the day (UTC) of a
    /// moment or later; the days stand in the names of the streams, so earlier ones are not even read.
    /// </summary>
    public IAsyncEnumerable<JournalRow> StreamAsync<TEntry>(
        string farmId,
        TelemetryStream stream,
        string[] equipmentIds,
        DateTimeOffset recordedFrom,
        long upTo,
        CancellationToken cancellationToken
    )
        where TEntry : IEntry =>
        ReadAsync(
            $"""
            select {Row} from journal.mt_events
            where tenant_id = $1 and type = $2 and seq_id <= $6 and stream_id in (
                select id from journal.mt_streams
                where tenant_id = $1 and split_part(id, '/', 2) = $3
                  and (cardinality($4) = 0 or split_part(id, '/', 1) = any($4))
                  and split_part(id, '/', 3) collate "C" >= $5)
            order by seq_id
            """,
            [
                farmId,
                StoredNames.ByType[typeof(TEntry)],
                stream.ToString().ToLowerInvariant(),
                equipmentIds,
                recordedFrom.UtcDateTime.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
                upTo,
            ],
            cancellationToken
        );

    /// <summary>The packs of a farm that were recorded from a moment on.</summary>
    public IAsyncEnumerable<JournalRow> PacksRecordedAsync(
        string farmId,
        DateTimeOffset from,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            $"""
            select {Row} from journal.mt_events
            where tenant_id = $1 and type = any($2) and timestamp >= $3 order by seq_id
            """,
            [farmId, PackNames, from.ToUniversalTime()],
            cancellationToken
        );

    /// <summary>Whether a farm has packs before a position.</summary>
    public async Task<bool> AnyPackBeforeAsync(string farmId, long position, CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            "select exists (select 1 from journal.mt_events where tenant_id = $1 and type = any($2) and seq_id < $3)",
            farmId,
            PackNames,
            position
        );
        return (bool)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    /// <summary>A farm's register as of a position.</summary>
    public async Task<Register> RegisterAsync(string farmId, long asOf, CancellationToken cancellationToken)
    {
        var register = Register.Empty;
        await foreach (var row in RareAsync(farmId, 0, asOf, cancellationToken))
            register = register.With(row.Entry);
        return register;
    }

    /// <summary>
    /// Posts a farm's ledger from the journal up to a position into a book; tiles that rest are put away, so that a season fits. Gives the
    /// most tiles that were not put away at once.
    /// </summary>
    public async Task<int> PostAllAsync(
        LedgerBook book,
        string farmId,
        Register register,
        long upTo,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken,
        long? notedBytes = null
    )
    {
        var (packs, most, many) = (0, 0, notedBytes ?? PostingMemory.Usual.NotedBytes);
        await foreach (var row in PacksAsync(farmId, 0, upTo, cancellationToken))
        {
            book.Post(row.Entry, row.RecordedAt, register);
            most = Math.Max(most, book.TilesOpen);
            if (book.BytesNoted > many)
                book.Rest();
            if (++packs % PacksTold == 0)
                progress?.Report(new(packs, row.Position, upTo));
        }
        progress?.Report(new(packs, upTo, upTo));
        return most;
    }

    private async IAsyncEnumerable<JournalRow> ReadAsync(
        string sql,
        object[] values,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(sql, values);
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            yield return new(
                rows.GetInt64(0),
                rows.GetFieldValue<DateTimeOffset>(1),
                EntryForm.Read(rows.GetString(2), rows.GetFieldValue<byte[]>(3))
            );
    }
}
