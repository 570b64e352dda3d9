using Npgsql;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>
/// The flagged parts of lines: a row for each line and rule that flagged a part of it. They add up like the lines.
/// </summary>
internal static class FlagRows
{
    /// <summary>Makes the table.</summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, season int, applicator text, generation int, field text, hour bigint, pit text, sensor text,
            rule text, intervals bigint not null, volume bigint not null,
            {AnalyteColumns.Definition},
            primary key (farm, season, applicator, generation, field, hour, pit, sensor, rule)
        );
        """;

    private const string Table = "ledger.flag";

    private const string Key = $"{LineRows.Key}, rule";

    private static readonly string[] Summed = ["intervals", "volume", .. AnalyteColumns.Names];

    /// <summary>All columns but the farm.</summary>
    public static readonly string Columns = $"{Key}, {string.Join(", ", Summed)}";

    private static readonly string Upsert = UpsertSql.Of(Table, Columns, Key, Summed.Select(UpsertSql.Sum));

    /// <summary>Queues the flagged parts of lines, added to those of a generation.</summary>
    public static void Add(
        QueueSqlCommand queue,
        string farmId,
        GenerationOf generation,
        IReadOnlyDictionary<LineKey, LineAmounts> lines
    )
    {
        (LineKey Key, FlagRule Rule, FlaggedSums Sums)[] flags =
        [
            .. from line in lines from part in line.Value.Flagged.ByRule select (line.Key, part.Key, part.Value),
        ];
        if (flags.Length == 0)
            return;
        var sums = Array.ConvertAll(flags, flag => flag.Sums);
        queue(
            Upsert,
            [
                farmId,
                .. LineRows.KeyValues(Array.ConvertAll(flags, flag => flag.Key), generation),
                Array.ConvertAll(flags, flag => flag.Rule.ToString()),
                Array.ConvertAll(sums, part => part.Intervals),
                Array.ConvertAll(sums, part => part.Millilitres),
                .. AnalyteColumns.Values(
                    sums,
                    part => part.DryMatter,
                    part => part.TotalNitrogen,
                    part => part.AmmoniumNitrogen,
                    part => part.Phosphorus,
                    part => part.Potassium
                ),
            ]
        );
    }

    /// <summary>Adds the flagged parts of a generation to the lines they belong to.</summary>
    public static async Task AddToAsync(
        Dictionary<LineKey, LineAmounts> lines,
        NpgsqlConnection connection,
        string farmId,
        SeasonRange seasons,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(LedgerTables.ReadOf("flag", Columns, seasons), farmId);
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
        {
            var key = LineRows.ReadKey(rows);
            var line = lines[key];
            lines[key] = line with { Flagged = line.Flagged.With(Enum.Parse<FlagRule>(rows.GetString(7)), Read(rows)) };
        }
    }

    private static FlaggedSums Read(NpgsqlDataReader row) =>
        new(
            row.GetInt64(8),
            row.GetInt64(9),
            AnalyteColumns.Read(row, 10),
            AnalyteColumns.Read(row, 12),
            AnalyteColumns.Read(row, 14),
            AnalyteColumns.Read(row, 16),
            AnalyteColumns.Read(row, 18)
        );
}
