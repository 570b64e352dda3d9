using Npgsql;
using NutrientLedger.Journal;

namespace NutrientLedger.Store;

/// <summary>What an audit of one farm looked at, and everything it found wrong; nothing found means all is as it was written.</summary>
public sealed record AuditReport(
    long Entries,
    int Streams,
    int Lines,
    int Tiles,
    int LevelHours,
    IReadOnlyList<string> Findings
);

/// <summary>
/// Proves a farm's records: walks every chain of the journal, then posts the whole ledger anew in memory and compares it with
/// the live one to the last bit.
/// </summary>
public sealed class LedgerAudit(NpgsqlDataSource source)
{
    private readonly JournalRows journal = new(source);

    /// <summary>Audits one farm as it stands posted.</summary>
    public async Task<AuditReport> RunAsync(string farmId, CancellationToken cancellationToken)
    {
        var findings = new List<string>();
        var (entries, streams) = await ChainsAsync(farmId, findings, cancellationToken);
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var snapshot = await connection.BeginTransactionAsync(
            System.Data.IsolationLevel.RepeatableRead,
            cancellationToken
        );
        if (await LedgerRows.CurrentAsync(connection, farmId, cancellationToken) is not { } current)
            return new(entries, streams, 0, 0, 0, findings);
        var lines = await LedgerRows.LinesAsync(connection, current, season: null, cancellationToken);
        var tiles = await LedgerRows.TilesAsync(connection, current, fieldId: null, season: null, cancellationToken);
        var levels = await LedgerRows.LevelsAsync(connection, current, cancellationToken);

        var register = await journal.RegisterAsync(farmId, current.Position, cancellationToken);
        var posted = await journal.PostAllAsync(farmId, register, current.Position, cancellationToken);
        Compare("line", lines, posted.Lines, (live, anew) => live == anew, findings);
        Compare(
            "tile",
            tiles,
            posted.Tiles,
            (live, anew) => live.Encode().AsSpan().SequenceEqual(anew.Encode()),
            findings
        );
        Compare("level hour", levels, posted.Levels, (live, anew) => live == anew, findings);
        return new(entries, streams, lines.Count, tiles.Count, levels.Count, findings);
    }

    private async Task<(long Entries, int Streams)> ChainsAsync(
        string farmId,
        List<string> findings,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.CreateCommand(
            """
            select stream_id, version, type, coalesce(bdata, convert_to(data::text, 'UTF8')), headers ->> $2
            from journal.mt_events where tenant_id = $1 and type = any($3) order by stream_id, version
            """
        );
        command.Parameters.Add(new() { Value = farmId });
        command.Parameters.Add(new() { Value = HashChain.HeaderName });
        command.Parameters.Add(new() { Value = StoredNames.ByType.Values.ToArray() });
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var (stream, link, version) = ("", "", 0L);
        var (entries, streams) = (0L, 0);
        while (await rows.ReadAsync(cancellationToken))
        {
            entries++;
            if (rows.GetString(0) != stream)
            {
                (stream, version) = (rows.GetString(0), 0);
                link = HashChain.Start(farmId, stream);
                streams++;
            }
            if (rows.GetInt64(1) != ++version)
                findings.Add($"stream {stream}: version {version} is missing");
            var entry = EntryForm.Read(rows.GetString(2), rows.GetFieldValue<byte[]>(3));
            var written = await rows.IsDBNullAsync(4, cancellationToken) ? "none" : rows.GetString(4);
            link = HashChain.Next(link, entry);
            if (written != link)
                findings.Add(
                    $"stream {stream}, version {version}: the entry does not match its seal; it was changed after it was written"
                );
            (link, version) = (written, rows.GetInt64(1));
        }
        return (entries, streams);
    }

    private static void Compare<TKey, TValue>(
        string what,
        IReadOnlyDictionary<TKey, TValue> live,
        IReadOnlyDictionary<TKey, TValue> anew,
        Func<TValue, TValue, bool> same,
        List<string> findings
    )
        where TKey : notnull
    {
        foreach (var key in live.Keys.Union(anew.Keys))
            if (!live.TryGetValue(key, out var l) || !anew.TryGetValue(key, out var a) || !same(l, a))
                findings.Add($"{what} {key}: the live ledger differs from the one posted anew from the journal");
    }
}
