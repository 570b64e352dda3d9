using Npgsql;
using NpgsqlTypes;
using NutrientLedger.Journal;

namespace NutrientLedger.Store;

/// <summary>One sender's stream and boot, as far as numbers are concerned.</summary>
internal readonly record struct SeenKey(string FarmId, string EquipmentId, TelemetryStream Stream, long Boot)
{
    public string StreamName => Stream.ToString().ToLowerInvariant();
}

/// <summary>What is stored of a sender's numbers: its runs, and the readings at the ends of each in the packs' own stored form.</summary>
internal sealed record SeenRow(NpgsqlRange<long>[] Numbers, byte[][] Ends)
{
    public static readonly SeenRow Empty = new([], []);

    public static SeenRow Of<TReading>(SeenKey key, SeenRuns<TReading> seen)
        where TReading : struct, IReading<TReading>
    {
        byte[] End(long seq, TReading reading) =>
            PackForm.Encode(new Pack<TReading>(key.EquipmentId, key.Boot, seq, [reading]));
        return new(
            [.. seen.Runs.Select(run => new NpgsqlRange<long>(run.FirstSeq, true, run.LastSeq + 1, false))],
            [.. seen.Runs.SelectMany(run => new[] { End(run.FirstSeq, run.First), End(run.LastSeq, run.Last) })]
        );
    }

    /// <summary>The runs; PostgreSQL gives whole-number ranges from their first number, included, to the one after their last.</summary>
    public SeenRuns<TReading> Runs<TReading>()
        where TReading : struct, IReading<TReading>
    {
        return new(
            Numbers.Select(
                (range, i) =>
                    new SeenRun<TReading>(
                        range.LowerBound,
                        range.UpperBound - 1,
                        End(Ends[2 * i]),
                        End(Ends[(2 * i) + 1])
                    )
            )
        );

        static TReading End(byte[] stored) => PackForm.Decode<TReading>(stored).Readings[0];
    }
}

/// <summary>
/// Reads and writes seen rows inside the transaction of an append, many in one round trip. The farm's lock, held until that
/// transaction ends, keeps every other writer away from them.
/// </summary>
internal static class SeenRows
{
    public static async Task<Dictionary<SeenKey, SeenRow>> ReadAsync(
        NpgsqlConnection connection,
        string farmId,
        IReadOnlyCollection<SeenKey> keys,
        CancellationToken cancellationToken
    )
    {
        var found = keys.ToDictionary(key => key, _ => SeenRow.Empty);
        await using var command = connection.Command(
            """
            select equipment, stream, boot, numbers, ends from intake.seen
            join unnest($2, $3, $4) as wanted (equipment, stream, boot) using (equipment, stream, boot) where farm = $1
            """,
            farmId,
            keys.Select(key => key.EquipmentId).ToArray(),
            keys.Select(key => key.StreamName).ToArray(),
            keys.Select(key => key.Boot).ToArray()
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
        {
            var stream = Enum.Parse<TelemetryStream>(rows.GetString(1), ignoreCase: true);
            found[new(farmId, rows.GetString(0), stream, rows.GetInt64(2))] = new(
                rows.GetFieldValue<NpgsqlRange<long>[]>(3),
                rows.GetFieldValue<byte[][]>(4)
            );
        }
        return found;
    }

    public static NpgsqlBatchCommand Write(SeenKey key, SeenRow row) =>
        Sql.BatchCommand(
            """
            insert into intake.seen values ($1, $2, $3, $4, $5, $6)
            on conflict (farm, equipment, stream, boot) do update set numbers = excluded.numbers, ends = excluded.ends
            """,
            key.FarmId,
            key.EquipmentId,
            key.StreamName,
            key.Boot,
            row.Numbers,
            row.Ends
        );
}
