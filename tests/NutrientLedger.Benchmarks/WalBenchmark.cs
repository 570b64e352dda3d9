namespace NutrientLedger.Benchmarks;

/// <summary>
/// WAL bytes a reading, at 200 messages of five readings a second from 100 applicators. First with full-page images,
/// over two checkpoints, then without. PostgreSQL itself makes a checkpoint every 15 minutes. Here they come sooner, so
/// images weigh more. All versions run at the same time.
/// </summary>
internal static class WalBenchmark
{
    private const int Applicators = 100;
    private const int MessagesPerSecond = 200;
    private const int Readings = 5;

    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(10);

    public static Task RunAsync(BenchOptions options, Figures figures)
    {
        var farm = new SeasonFarm(BenchFarm.Id, Applicators, FieldsEach: 1);
        return VersionHub.WithAllAsync(
            options.Versions,
            [farm],
            async hubs =>
            {
                foreach (
                    var (name, with, without) in await Task.WhenAll(
                        hubs.Select(hub => MeasureAsync(hub, farm, TimeSpan.FromSeconds(options.CheckpointSeconds)))
                    )
                )
                {
                    var every = $"checkpoints every {options.CheckpointSeconds} s";
                    figures.Add($"WAL bytes a reading, {every}", name, with.Bytes);
                    figures.Add($"full-page images for 1,000 readings, {every}", name, 1000 * with.Images);
                    figures.Add("WAL bytes a reading, without full-page images", name, without.Bytes);
                    figures.Add($"WAL records a reading, {every}", name, with.Records);
                    figures.Add("WAL records a reading, without full-page images", name, without.Records);
                }
            }
        );
    }

    private static async Task<(string Name, Wal With, Wal Without)> MeasureAsync(
        VersionHub hub,
        SeasonFarm farm,
        TimeSpan betweenCheckpoints
    )
    {
        var applicators = Enumerable.Range(0, Applicators).Select(i => (farm, i)).ToList();
        var traffic = SteadyTraffic.Of(hub, applicators, MessagesPerSecond, Readings);
        await traffic.RunAsync(WarmUp);
        var before = await Wal.NowAsync(hub);
        var readings = 0;
        for (var i = 0; i < 2; i++)
        {
            await hub.ExecuteAsync("checkpoint");
            readings += await SendAsync(betweenCheckpoints);
        }
        var with = (await Wal.NowAsync(hub)).Since(before, readings);
        await hub.ExecuteAsync("alter system set full_page_writes = off");
        await hub.ExecuteAsync("select pg_reload_conf()");
        await traffic.RunAsync(WarmUp);
        before = await Wal.NowAsync(hub);
        readings = await SendAsync(betweenCheckpoints / 2);
        return (hub.Version.Name, with, (await Wal.NowAsync(hub)).Since(before, readings));

        async Task<int> SendAsync(TimeSpan duration) =>
            Readings * (await traffic.RunAsync(duration)).Acknowledged.Count;
    }

    /// <summary>Bytes, full-page images and records of the write-ahead log.</summary>
    private sealed record Wal(double Bytes, double Images, double Records)
    {
        public static async Task<Wal> NowAsync(VersionHub hub)
        {
            // Each process of PostgreSQL reports its numbers within a second of becoming idle.
            await Task.Delay(TimeSpan.FromSeconds(2));
            await using var command = hub.Postgres.CreateCommand(
                "select wal_bytes::float8, wal_fpi::float8, wal_records::float8 from pg_stat_wal"
            );
            await using var row = await command.ExecuteReaderAsync();
            await row.ReadAsync();
            return new(row.GetDouble(0), row.GetDouble(1), row.GetDouble(2));
        }

        /// <summary>The growth for each reading.</summary>
        public Wal Since(Wal before, int readings) =>
            new(
                (Bytes - before.Bytes) / readings,
                (Images - before.Images) / readings,
                (Records - before.Records) / readings
            );
    }
}
