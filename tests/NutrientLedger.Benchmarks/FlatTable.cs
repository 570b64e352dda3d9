using Npgsql;
using NpgsqlTypes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Benchmarks;

/// <summary>One table with a row per reading, identified by its number. The key drops duplicates.</summary>
internal sealed class FlatTable : IAsyncDisposable
{
    private readonly NpgsqlConnection connection;
    private readonly NpgsqlCommand insert;
    private readonly List<string> equipment = [];
    private readonly List<string> stream = [];
    private readonly List<long> boot = [];
    private readonly List<long> seq = [];
    private readonly List<long?>[] columns =
    [
        .. Enumerable.Range(0, SpreadReading.ColumnCount).Select(_ => new List<long?>()),
    ];

    private FlatTable(NpgsqlConnection connection)
    {
        this.connection = connection;
        insert = new(
            """
            insert into flat_reading
            select * from unnest($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)
            on conflict do nothing
            """,
            connection
        );
        Add(equipment, NpgsqlDbType.Text);
        Add(stream, NpgsqlDbType.Text);
        Add(boot, NpgsqlDbType.Bigint);
        Add(seq, NpgsqlDbType.Bigint);
        foreach (var column in columns)
            Add(column, NpgsqlDbType.Bigint);

        void Add(object values, NpgsqlDbType type) =>
            insert.Parameters.Add(new() { Value = values, NpgsqlDbType = NpgsqlDbType.Array | type });
    }

    public static async Task<FlatTable> OpenAsync(NpgsqlDataSource source)
    {
        await using (
            var create = source.CreateCommand(
                """
                create table flat_reading (
                    equipment text, stream text, boot bigint, seq bigint,
                    measured_ms bigint not null, latitude_e7 int, longitude_e7 int, speed_mm_s int, width_mm int, engaged smallint,
                    flow_ml_s int, total_ml bigint, dry_matter_ppm int, total_n_mg_l int, ammonium_n_mg_l int,
                    phosphorus_mg_l int, potassium_mg_l int,
                    primary key (equipment, stream, boot, seq))
                """
            )
        )
            await create.ExecuteNonQueryAsync();
        var table = new FlatTable(await source.OpenConnectionAsync());
        await table.insert.PrepareAsync();
        return table;
    }

    /// <summary>Stores batches in one SQL command, which is one transaction.</summary>
    public async Task StoreAsync(IEnumerable<ReadingBatch<SpreadReading>> batches)
    {
        equipment.Clear();
        stream.Clear();
        boot.Clear();
        seq.Clear();
        foreach (var column in columns)
            column.Clear();
        foreach (var batch in batches)
            for (var i = 0; i < batch.Readings.Length; i++)
            {
                equipment.Add(batch.EquipmentId);
                stream.Add("spread");
                boot.Add(batch.Boot);
                seq.Add(batch.FirstSeq + i);
                for (var column = 0; column < columns.Length; column++)
                    columns[column].Add(batch.Readings[i].Column(column));
            }
        await insert.ExecuteNonQueryAsync();
    }

    public async ValueTask DisposeAsync()
    {
        await insert.DisposeAsync();
        await connection.DisposeAsync();
    }
}
