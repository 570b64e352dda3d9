using Npgsql;
using NpgsqlTypes;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Hubs;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence;

/// <summary>
/// Upgrades a database of an earlier version. Its journal stays as it is, and kept statements are kept. Ledgers are
/// made again, because rules of posting have changed: those of all farms by a correction of everything, which a running
/// hub posts. Version 1 also gets the index of batches.
/// </summary>
/// <remarks>
/// A hub of an earlier version may still run. A table or column that every append needs has another name now, so it
/// stores nothing any more and tells its devices so.
/// </remarks>
internal static class SchemaUpgrade
{
    private const int EventsAtOnce = 2_000;

    private const string OfBoth = $"""
        alter table ingestion.received_range rename to received;
        alter index ingestion.received_range_pkey rename to received_pkey;
        alter index ingestion.received_range_missing rename to received_missing;
        alter table {DeadLetterRows.Table} add column whole_bytes int, add column whole_sha256 bytea;
        """;

    /// <summary>
    /// Rules of posting changed. A configuration position of 0 is that of no configuration at all, so all is posted
    /// again.
    /// </summary>
    private const string PostEverythingAgain = """
        update ledger.farm set configuration_position = 0,
            wanted_configuration_position = greatest(configuration_position, wanted_configuration_position);
        """;

    /// <summary>What version 3 lacks of the farms' chains.</summary>
    private const string ChainFarms = $"""
        alter view journal.event rename column chain_hash to stream_hash;
        {JournalViews.EventView}
        {FarmChainRows.Definition}
        {FarmChainRows.ChainAll};
        """;

    private const string MakeLedgersAgain = $"""
        create temporary table posted on commit drop as
            select farm, position, greatest(configuration_position, wanted_configuration_position) as wanted
            from ledger.generation;
        alter schema ledger rename to ledger_of_version_1;
        {LedgerTables.Definition}
        alter table ledger_of_version_1.statement set schema ledger;
        alter table ledger_of_version_1.statement_progress set schema ledger;
        drop schema ledger_of_version_1 cascade;
        insert into ledger.farm
            (farm, generation, level_generation, position, configuration_position, wanted_configuration_position)
            select farm, 1, 1, position, 0, wanted from posted;
        {BatchSpanRows.Definition}
        """;

    /// <summary>Upgrades inside the caller's transaction, from a version.</summary>
    public static async Task RunAsync(NpgsqlConnection connection, int from, CancellationToken cancellationToken)
    {
        if (from < 3)
            await ToVersion3Async(connection, from, cancellationToken);
        else
            await connection.ExecuteAsync(PostEverythingAgain, cancellationToken);
        await connection.ExecuteAsync(DeviceRows.AddLeftOut, cancellationToken);
        await connection.ExecuteAsync(HubRows.Definition, cancellationToken);
        await connection.ExecuteAsync(ChainFarms, cancellationToken);
        await connection.ExecuteAsync(
            $"update {MartenSetup.Schema}.schema_version set version = $1",
            cancellationToken,
            SchemaMigration.Version
        );
    }

    private static async Task ToVersion3Async(
        NpgsqlConnection connection,
        int from,
        CancellationToken cancellationToken
    )
    {
        await connection.ExecuteAsync(OfBoth, cancellationToken);
        if (from == 1)
            await MakeAgainAsync(connection, cancellationToken);
        else
            await connection.ExecuteAsync(UnpostedRows.Definition + PostEverythingAgain, cancellationToken);
    }

    private static async Task MakeAgainAsync(NpgsqlConnection connection, CancellationToken cancellationToken)
    {
        await connection.ExecuteAsync(MakeLedgersAgain, cancellationToken);
        var last = 0L;
        while (await EventsAfterAsync(connection, last, cancellationToken) is { Count: > 0 } events)
        {
            await WriteAsync(connection, events, cancellationToken);
            last = events[^1].Position;
        }
    }

    private static Task<List<(long Position, string FarmId, BatchSpan? Span)>> EventsAfterAsync(
        NpgsqlConnection connection,
        long position,
        CancellationToken cancellationToken
    ) =>
        connection
            .Command(
                $"select position, farm, type, body from journal.event where position > $1 order by position limit {EventsAtOnce}",
                position
            )
            .ListAsync(
                row =>
                    (
                        row.GetInt64(0),
                        row.GetString(1),
                        BatchSpan.Of(EventCodec.Decode(row.GetString(2), row.GetFieldValue<byte[]>(3)))
                    ),
                cancellationToken
            );

    private static async Task WriteAsync(
        NpgsqlConnection connection,
        IEnumerable<(long Position, string FarmId, BatchSpan? Span)> events,
        CancellationToken cancellationToken
    )
    {
        await using var rows = await connection.BeginBinaryImportAsync(
            $"copy {BatchSpanRows.Table} (farm, {BatchSpanRows.Columns}, position) from stdin (format binary)",
            cancellationToken
        );
        foreach (var (position, farmId, span) in events)
        {
            if (span is null)
                continue;
            await rows.StartRowAsync(cancellationToken);
            foreach (var text in (string[])[farmId, span.Stream, span.EquipmentId])
                await rows.WriteAsync(text, NpgsqlDbType.Text, cancellationToken);
            long[] numbers = [span.Boot, span.FirstSeq, span.LastSeq, span.MeasuredFrom, span.MeasuredTo, position];
            foreach (var number in numbers)
                await rows.WriteAsync(number, NpgsqlDbType.Bigint, cancellationToken);
        }
        await rows.CompleteAsync(cancellationToken);
    }
}
