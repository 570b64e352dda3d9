using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>Coverage tiles as they are stored: the visits as bytes, and beside them the counts that balances need.</summary>
internal static class TileRows
{
    /// <summary>
    /// Has added to tiles what is stored of them, so that they can be written back whole. Sound because the transaction that
    /// writes them fails if the farm's ledger has been moved on since its position was read.
    /// </summary>
    public static async Task MergeStoredAsync(
        NpgsqlConnection connection,
        string farmId,
        int generation,
        IReadOnlyCollection<TileKey> tiles,
        Action<TileKey, byte[]> add,
        CancellationToken cancellationToken
    )
    {
        if (tiles.Count == 0)
            return;
        TileKey[] keys = [.. tiles];
        await using var command = connection.Command(
            """
            select field, season, tile_row, tile_column, visits from ledger.tile
            join unnest($3, $4, $5, $6) as wanted (field, season, tile_row, tile_column)
                using (field, season, tile_row, tile_column)
            where farm = $1 and generation = $2
            """,
            farmId,
            generation,
            Array.ConvertAll(keys, key => key.FieldId),
            Array.ConvertAll(keys, key => key.Season),
            Array.ConvertAll(keys, key => key.TileRow),
            Array.ConvertAll(keys, key => key.TileColumn)
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            add(Key(rows), rows.GetFieldValue<byte[]>(4));
    }

    /// <summary>The key in the first four columns of a row.</summary>
    public static TileKey Key(NpgsqlDataReader row) =>
        new(row.GetString(0), row.GetInt32(1), row.GetInt32(2), row.GetInt32(3));
}
