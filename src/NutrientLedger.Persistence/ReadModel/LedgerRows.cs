using System.Numerics;
using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>
/// Which generation of a farm's rows is read: the posting of all packs up to a position under the register of another. While
/// the wanted position is above that of the register, a correction is still to be posted.
/// </summary>
internal sealed record CurrentGeneration(
    string FarmId,
    int Generation,
    long Position,
    long ConfigurationPosition,
    long WantedPosition
)
{
    public bool IsBeingCorrected => ConfigurationPosition < WantedPosition;
}

/// <summary>Reads the rows of posted ledgers.</summary>
internal static class LedgerRows
{
    public static async Task<CurrentGeneration?> CurrentAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            "select generation, position, configuration_position, wanted_configuration_position from ledger.generation where farm = $1",
            farmId
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        return await rows.ReadAsync(cancellationToken)
            ? new(farmId, rows.GetInt32(0), rows.GetInt64(1), rows.GetInt64(2), rows.GetInt64(3))
            : null;
    }

    public static async Task<List<int>> SeasonsAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            "select distinct season from ledger.line where farm = $1 and generation = $2 order by season",
            current.FarmId,
            current.Generation
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var seasons = new List<int>();
        while (await rows.ReadAsync(cancellationToken))
            seasons.Add(rows.GetInt32(0));
        return seasons;
    }

    public static async Task<Dictionary<LineKey, LineAmounts>> LinesAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        int? season,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            select field, season, hour, applicator, pit, sensor,
                volume, disengaged, not_placed, unknown_intervals, intervals, area_travelled, last_measured,
                dm_sum, dm_without, tn_sum, tn_without, nh4n_sum, nh4n_without, p_sum, p_without, k_sum, k_without
            from ledger.line where farm = $1 and generation = $2 and ($3::int is null or season = $3)
            """,
            current.FarmId,
            current.Generation,
            season
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var lines = new Dictionary<LineKey, LineAmounts>();
        while (await rows.ReadAsync(cancellationToken))
            lines.Add(Key(rows), Amounts(rows));
        await rows.DisposeAsync();
        await FlagRows.AddToAsync(lines, connection, current, season, cancellationToken);
        return lines;
    }

    /// <summary>Only the counts by row, which are a hundredth of the visits themselves; they are added up here, where it costs least.</summary>
    public static async Task<IReadOnlyList<CoverageRows>> CoverageAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        string? fieldId,
        int? season,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            select field, season, tile_row, tile_column, covered, overlapped from ledger.tile
            where farm = $1 and generation = $2
                and ($3::text is null or field = $3) and ($4::int is null or season = $4)
            """,
            current.FarmId,
            current.Generation,
            fieldId,
            season
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var counts = new List<TileCounts>();
        while (await rows.ReadAsync(cancellationToken))
            counts.Add(new(TileRows.Key(rows), rows.GetFieldValue<byte[]>(4), rows.GetFieldValue<byte[]>(5)));
        return CoverageRows.Of(counts);
    }

    /// <summary>The tiles of a field and season, or of all of them.</summary>
    public static async Task<Dictionary<TileKey, CoverageTile>> TilesAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        string? fieldId,
        int? season,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            select field, season, tile_row, tile_column, visits from ledger.tile where farm = $1 and generation = $2
                and ($3::text is null or field = $3) and ($4::int is null or season = $4)
            """,
            current.FarmId,
            current.Generation,
            fieldId,
            season
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var tiles = new Dictionary<TileKey, CoverageTile>();
        while (await rows.ReadAsync(cancellationToken))
            tiles.Add(TileRows.Key(rows), CoverageTile.Decode(rows.GetFieldValue<byte[]>(4)));
        return tiles;
    }

    /// <summary>The level hours of a pit (of all if none is named) that begin between two moments in seconds, both included.</summary>
    public static async Task<Dictionary<LevelKey, LevelHour>> LevelsAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        string? pitId,
        long? fromSeconds,
        long? toSeconds,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            select pit, hour, first_at, first_mm, last_at, last_mm, lowest_mm, highest_mm, readings, sum_mm
            from ledger.level where farm = $1 and generation = $2 and ($3::text is null or pit = $3)
                and ($4::bigint is null or hour >= $4) and ($5::bigint is null or hour <= $5)
            """,
            current.FarmId,
            current.Generation,
            pitId,
            fromSeconds,
            toSeconds
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var levels = new Dictionary<LevelKey, LevelHour>();
        while (await rows.ReadAsync(cancellationToken))
            levels.Add(
                new(rows.GetString(0), rows.GetInt64(1)),
                new(
                    rows.GetInt64(2),
                    rows.GetInt32(3),
                    rows.GetInt64(4),
                    rows.GetInt32(5),
                    rows.GetInt32(6),
                    rows.GetInt32(7),
                    rows.GetInt64(8),
                    rows.GetInt64(9)
                )
            );
        return levels;
    }

    internal static LineKey Key(NpgsqlDataReader row) =>
        new(row.GetString(0), row.GetInt32(1), row.GetInt64(2), row.GetString(3), row.GetString(4), row.GetString(5));

    private static LineAmounts Amounts(NpgsqlDataReader row) =>
        new()
        {
            VolumeMillilitres = row.GetInt64(6),
            DisengagedMillilitres = row.GetInt64(7),
            NotPlacedMillilitres = row.GetInt64(8),
            UnknownIntervals = row.GetInt64(9),
            Intervals = row.GetInt64(10),
            AreaTravelledSquareCentimetres = row.GetInt64(11),
            LastMeasuredAtMilliseconds = row.GetInt64(12),
            DryMatter = Sums(row, 13),
            TotalNitrogen = Sums(row, 15),
            AmmoniumNitrogen = Sums(row, 17),
            Phosphorus = Sums(row, 19),
            Potassium = Sums(row, 21),
        };

    private static AnalyteSums Sums(NpgsqlDataReader row, int column) =>
        new((Int128)row.GetFieldValue<BigInteger>(column), row.GetInt64(column + 1));
}
