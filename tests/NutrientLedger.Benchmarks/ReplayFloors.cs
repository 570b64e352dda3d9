using System.Diagnostics;
using Npgsql;
using NpgsqlTypes;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// The floors for a replay: reading the same stored rows and dropping them, and plain SQL without any journal.
/// </summary>
internal sealed class ReplayFloors(NpgsqlDataSource source)
{
    /// <summary>Time to COPY the farm's stored rows from the journal, in its order, to nowhere.</summary>
    public async Task<TimeSpan> CopyAsync(string farm)
    {
        await using var connection = await source.OpenConnectionAsync();
        var watch = Stopwatch.StartNew();
        await using var stream = await connection.BeginRawBinaryCopyAsync(
            $"""
            copy (select position, recorded_at, type, batch from journal.event
                where farm = '{farm}' and type = 'spreading_measured' order by position) to stdout (format binary)
            """
        );
        await stream.CopyToAsync(Stream.Null, 1 << 16);
        return watch.Elapsed;
    }

    /// <summary>Fills a narrow flat table with a row for each placed interval, ready to be summed.</summary>
    public async Task FillAsync(int readings)
    {
        await RunAsync(
            "create table bench_interval (field smallint, volume int, total_n int, ammonium_n int, phosphorus int)"
        );
        await using (var connection = await source.OpenConnectionAsync())
        await using (
            var copy = await connection.BeginBinaryImportAsync("copy bench_interval from stdin (format binary)")
        )
        {
            for (var applicator = 0; applicator < ReplaySeason.Fields; applicator++)
            for (var seq = 2; seq <= readings / ReplaySeason.Fields; seq++)
            {
                var reading = BenchFarm.Reading(applicator, seq);
                await copy.StartRowAsync();
                await copy.WriteAsync((short)applicator, NpgsqlDbType.Smallint);
                await copy.WriteAsync(31_000, NpgsqlDbType.Integer);
                await copy.WriteAsync(reading.TotalNitrogenMilligramsPerLitre!.Value, NpgsqlDbType.Integer);
                await copy.WriteAsync(reading.AmmoniumNitrogenMilligramsPerLitre!.Value, NpgsqlDbType.Integer);
                await copy.WriteAsync(reading.PhosphorusMilligramsPerLitre!.Value, NpgsqlDbType.Integer);
            }
            await copy.CompleteAsync();
        }
        await RunAsync("vacuum analyze bench_interval");
    }

    /// <summary>Time for volume and three masses by field, in plain SQL.</summary>
    public async Task<TimeSpan> SumAsync()
    {
        var watch = Stopwatch.StartNew();
        await RunAsync(
            """
            select field, sum(volume), sum(volume::bigint * total_n), sum(volume::bigint * ammonium_n),
                sum(volume::bigint * phosphorus) from bench_interval group by field
            """
        );
        return watch.Elapsed;
    }

    public async Task RunAsync(string sql)
    {
        await using var command = source.CreateCommand(sql);
        command.CommandTimeout = 600;
        await command.ExecuteNonQueryAsync();
    }
}
