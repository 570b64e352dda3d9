using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;

namespace NutrientLedger.Persistence.Events;

/// <summary>
/// What a batch holds: numbers of a boot from first to last, and the least and greatest measured time of its readings
/// and their stored neighbours. Times are as sent, in ms since 1970 (UTC), before any decision about the clock.
/// </summary>
internal sealed record BatchSpan(
    string Stream,
    string EquipmentId,
    long Boot,
    long FirstSeq,
    long LastSeq,
    long MeasuredFrom,
    long MeasuredTo
)
{
    /// <summary>The span of an event; null when it is no batch.</summary>
    public static BatchSpan? Of(IJournalEvent @event) =>
        @event switch
        {
            SpreadingMeasured measured => Of(measured.Batch),
            StorageLevelMeasured measured => Of(measured.Batch),
            WeatherMeasured measured => Of(measured.Batch),
            _ => null,
        };

    public override string ToString() =>
        FormattableString.Invariant(
            $"{EquipmentId}/{Stream} boot {Boot}, numbers {FirstSeq} to {LastSeq}, measured {MeasuredFrom} to {MeasuredTo} ms"
        );

    private static BatchSpan Of<TReading>(ReadingBatch<TReading> batch)
        where TReading : struct, IReading<TReading>
    {
        var (from, to) = (long.MaxValue, long.MinValue);
        foreach (var reading in batch.WithNeighbours())
            (from, to) = (Math.Min(from, reading.MeasuredAtMilliseconds), Math.Max(to, reading.MeasuredAtMilliseconds));
        return new(
            BatchSpanRows.Name(TReading.Stream),
            batch.EquipmentId,
            batch.Boot,
            batch.FirstSeq,
            batch.LastSeq,
            from,
            to
        );
    }
}

/// <summary>
/// The table of what each batch of the journal holds, for finding batches by device and measured time. A row is written
/// by the same command as its event.
/// </summary>
internal static class BatchSpanRows
{
    /// <summary>Makes the table.</summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, stream text, equipment text, boot bigint, first_seq bigint, last_seq bigint not null,
            measured_from bigint not null, measured_to bigint not null, position bigint not null,
            primary key (farm, stream, equipment, boot, first_seq)
        );
        create index batch_span_measured on {Table} (farm, stream, equipment, measured_to)
            include (measured_from, position);
        create unique index batch_span_position on {Table} (position);
        """;

    /// <summary>The table.</summary>
    public const string Table = "journal.batch_span";

    /// <summary>The columns of <see cref="BatchSpan"/>, in its order.</summary>
    public const string Columns = "stream, equipment, boot, first_seq, last_seq, measured_from, measured_to";

    /// <summary>Reads <see cref="Columns"/> from one column of a row on.</summary>
    public static BatchSpan Read(NpgsqlDataReader row, int at) =>
        new(
            row.GetString(at),
            row.GetString(at + 1),
            row.GetInt64(at + 2),
            row.GetInt64(at + 3),
            row.GetInt64(at + 4),
            row.GetInt64(at + 5),
            row.GetInt64(at + 6)
        );

    /// <summary>A stream as it is written in the table.</summary>
    public static string Name(TelemetryStream stream) => stream.ToString().ToLowerInvariant();
}
