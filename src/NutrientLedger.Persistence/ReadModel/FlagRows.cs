using System.Numerics;
using Npgsql;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>The flagged parts of lines: a row for each line and rule that flagged something of it, added up like the lines.</summary>
internal static class FlagRows
{
    public static void Add(
        QueueSqlCommand queue,
        string farmId,
        int generation,
        IReadOnlyDictionary<LineKey, LineAmounts> lines
    )
    {
        (LineKey Key, FlagRule Rule, FlaggedSums Sums)[] flags =
        [
            .. from line in lines from part in line.Value.Flagged.ByRule select (line.Key, part.Key, part.Value),
        ];
        if (flags.Length == 0)
            return;
        T[] Column<T>(Func<FlaggedSums, T> of) => Array.ConvertAll(flags, flag => of(flag.Sums));
        T[] KeyColumn<T>(Func<LineKey, T> of) => Array.ConvertAll(flags, flag => of(flag.Key));
        decimal[] Sum(Func<FlaggedSums, AnalyteSums> of) => Column(sums => (decimal)of(sums).WeightedSum);
        long[] Without(Func<FlaggedSums, AnalyteSums> of) => Column(sums => of(sums).MillilitresWithout);
        queue(
            """
            insert into ledger.flag as old
            select ?, ?, * from unnest(?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
            on conflict (farm, generation, season, field, hour, applicator, pit, sensor, rule) do update set
                intervals = old.intervals + excluded.intervals,
                volume = old.volume + excluded.volume,
                dm_sum = old.dm_sum + excluded.dm_sum,
                tn_sum = old.tn_sum + excluded.tn_sum,
                nh4n_sum = old.nh4n_sum + excluded.nh4n_sum,
                p_sum = old.p_sum + excluded.p_sum,
                k_sum = old.k_sum + excluded.k_sum,
                dm_without = old.dm_without + excluded.dm_without,
                tn_without = old.tn_without + excluded.tn_without,
                nh4n_without = old.nh4n_without + excluded.nh4n_without,
                p_without = old.p_without + excluded.p_without,
                k_without = old.k_without + excluded.k_without
            """,
            farmId,
            generation,
            KeyColumn(key => key.FieldId),
            KeyColumn(key => key.Season),
            KeyColumn(key => key.HourStartSeconds),
            KeyColumn(key => key.ApplicatorId),
            KeyColumn(key => key.PitId),
            KeyColumn(key => key.SensorId),
            Array.ConvertAll(flags, flag => flag.Rule.ToString()),
            Column(sums => sums.Intervals),
            Column(sums => sums.Millilitres),
            Sum(sums => sums.DryMatter),
            Sum(sums => sums.TotalNitrogen),
            Sum(sums => sums.AmmoniumNitrogen),
            Sum(sums => sums.Phosphorus),
            Sum(sums => sums.Potassium),
            Without(sums => sums.DryMatter),
            Without(sums => sums.TotalNitrogen),
            Without(sums => sums.AmmoniumNitrogen),
            Without(sums => sums.Phosphorus),
            Without(sums => sums.Potassium)
        );
    }

    /// <summary>Puts the flagged parts of a generation to the lines they belong to.</summary>
    public static async Task AddToAsync(
        Dictionary<LineKey, LineAmounts> lines,
        NpgsqlConnection connection,
        CurrentGeneration current,
        int? season,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            select field, season, hour, applicator, pit, sensor, rule, intervals, volume,
                dm_sum, dm_without, tn_sum, tn_without, nh4n_sum, nh4n_without, p_sum, p_without, k_sum, k_without
            from ledger.flag where farm = $1 and generation = $2 and ($3::int is null or season = $3)
            """,
            current.FarmId,
            current.Generation,
            season
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
        {
            var key = LedgerRows.Key(rows);
            var line = lines[key];
            lines[key] = line with { Flagged = line.Flagged.With(Enum.Parse<FlagRule>(rows.GetString(6)), Read(rows)) };
        }
    }

    private static FlaggedSums Read(NpgsqlDataReader row) =>
        new(row.GetInt64(7), row.GetInt64(8), Sums(row, 9), Sums(row, 11), Sums(row, 13), Sums(row, 15), Sums(row, 17));

    private static AnalyteSums Sums(NpgsqlDataReader row, int column) =>
        new((Int128)row.GetFieldValue<BigInteger>(column), row.GetInt64(column + 1));
}
