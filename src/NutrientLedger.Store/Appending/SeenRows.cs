using Npgsql;
using NpgsqlTypes;
using NutrientLedger.Journal;

namespace NutrientLedger.Store;

/// <summary>One sender's stream and boot, as far as numbers are concerned.</summary>
internal readonly record struct SeenKey(string FarmId, string EquipmentId, TelemetryStream Stream, long Boot)
{
    public string StreamName => Stream.ToString().ToLowerInvariant();
}

/// <summary>
/// Reads and writes seen rows inside the transaction of an append: the numbers as a multirange, and the readings at both ends of
/// each range in the packs' own stored form.
/// </summary>
internal static class SeenRows
{
    /// <summary>Locks the row, making it if it is new, and gives its runs.</summary>
    public static async Task<SeenRuns<TReading>> LockAsync<TReading>(
        NpgsqlConnection connection,
        SeenKey key,
        CancellationToken cancellationToken
    )
        where TReading : struct, IReading<TReading>
    {
        await using var command = connection.Command(
            """
            insert into intake.seen as known values ($1, $2, $3, $4, '{}', '{}')
            on conflict (farm, equipment, stream, boot) do update set numbers = known.numbers
            returning numbers, ends
            """,
            key.FarmId,
            key.EquipmentId,
            key.StreamName,
            key.Boot
        );
        await using var row = await command.ExecuteReaderAsync(cancellationToken);
        await row.ReadAsync(cancellationToken);
        var numbers = row.GetFieldValue<NpgsqlRange<long>[]>(0);
        var ends = row.GetFieldValue<byte[][]>(1);
        return new(numbers.Select((range, i) => Run(range, End(ends[2 * i]), End(ends[(2 * i) + 1]))));

        static TReading End(byte[] stored) => PackForm.Decode<TReading>(stored).Readings[0];
    }

    /// <summary>Writes the runs back.</summary>
    public static Task WriteAsync<TReading>(
        NpgsqlConnection connection,
        SeenKey key,
        SeenRuns<TReading> seen,
        CancellationToken cancellationToken
    )
        where TReading : struct, IReading<TReading>
    {
        byte[] End(long seq, TReading reading) =>
            PackForm.Encode(new Pack<TReading>(key.EquipmentId, key.Boot, seq, [reading]));
        return connection.RunAsync(
            """
            update intake.seen set numbers = $5, ends = $6
            where farm = $1 and equipment = $2 and stream = $3 and boot = $4
            """,
            cancellationToken,
            key.FarmId,
            key.EquipmentId,
            key.StreamName,
            key.Boot,
            seen.Runs.Select(run => new NpgsqlRange<long>(run.FirstSeq, true, run.LastSeq + 1, false)).ToArray(),
            seen.Runs.SelectMany(run => new[] { End(run.FirstSeq, run.First), End(run.LastSeq, run.Last) }).ToArray()
        );
    }

    /// <summary>PostgreSQL gives whole-number ranges from their first number, included, to the one after their last.</summary>
    private static SeenRun<TReading> Run<TReading>(NpgsqlRange<long> range, TReading first, TReading last)
        where TReading : struct, IReading<TReading> => new(range.LowerBound, range.UpperBound - 1, first, last);
}
