using Marten;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>One entry of a farm's register as the journal holds it; place counts from 1.</summary>
public sealed record RecordedEntry(long Position, long Place, DateTimeOffset RecordedAt, IEntry Entry);

/// <summary>A farm's register at a journal position; place is the number of entries in it.</summary>
public sealed record RegisterAt(string FarmId, Register Register, long Place, IReadOnlyList<RecordedEntry> Entries);

/// <summary>Another writer recorded something in the farm's register meanwhile; read it again and decide anew.</summary>
public sealed class RegisterChangedException(string message) : Exception(message);

/// <summary>Reads and extends the registers of farms.</summary>
public sealed class RegisterStore(NpgsqlDataSource source, IDocumentStore store)
{
    private readonly JournalRows journal = new(source);
    private readonly JournalAppend append = new(store);

    /// <summary>The ids of all registered farms, in order.</summary>
    public async Task<IReadOnlyList<string>> FarmsAsync(CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            "select tenant_id from journal.mt_streams where id = $1 order by tenant_id collate \"C\"",
            JournalRows.RegisterStream
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var farms = new List<string>();
        while (await rows.ReadAsync(cancellationToken))
            farms.Add(rows.GetString(0));
        return farms;
    }

    /// <summary>A farm's register, now or as of a journal position; empty with place 0 for an unknown farm.</summary>
    public async Task<RegisterAt> ReadAsync(string farmId, long? asOf, CancellationToken cancellationToken)
    {
        var register = Register.Empty;
        var entries = new List<RecordedEntry>();
        await foreach (var row in journal.RareAsync(farmId, 0, asOf ?? long.MaxValue, cancellationToken))
        {
            register = register.With(row.Entry);
            entries.Add(new(row.Position, entries.Count + 1, row.RecordedAt, row.Entry));
        }
        return new(farmId, register, entries.Count, entries);
    }

    /// <summary>Appends entries after <paramref name="place"/>; throws <see cref="RegisterChangedException"/> if it moved on.</summary>
    public async Task RecordAsync(
        string farmId,
        long place,
        IReadOnlyList<IEntry> entries,
        CancellationToken cancellationToken
    )
    {
        if (entries.Count == 0)
            return;
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
        await JournalAppend.LockAsync(connection, farmId, cancellationToken);
        if (await PlaceAsync(connection, farmId, cancellationToken) is var there && there != place)
            throw new RegisterChangedException(
                $"The register of {farmId} has {there} entries, not {place}: somebody else recorded meanwhile. Read it again and decide anew."
            );
        var placed = entries.Select(
            (entry, i) =>
                new JournalEntry(
                    JournalRows.RegisterStream,
                    EntryIds.OfRegisterEntry(farmId, place + i + 1, entry),
                    entry
                )
        );
        await append.AppendAsync(transaction, farmId, [.. placed], cancellationToken);
        await transaction.CommitAsync(cancellationToken);
    }

    private static async Task<long> PlaceAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            "select count(*) from journal.mt_events where tenant_id = $1 and stream_id = $2",
            farmId,
            JournalRows.RegisterStream
        );
        return (long)(await command.ExecuteScalarAsync(cancellationToken))!;
    }
}
