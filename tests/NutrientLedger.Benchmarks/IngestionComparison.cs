using Npgsql;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// Messages of 1 and of 60 readings as fast as they are taken, from 8 applicators, by each version and by both floors.
/// Each round measures all, and ratios are those within a round.
/// </summary>
internal static class IngestionComparison
{
    private const int Applicators = 8;

    private static readonly (int Readings, int Messages)[] Shapes = [(1, 12_000), (60, 1_600)];

    private static long boot;

    public static async Task RunAsync(BenchOptions options, Figures figures)
    {
        await using var database = await BenchDatabase.OpenAsync();
        await using var mosquitto = await MosquittoFloor.StartAsync();
        await using var flat = await ChildProcess.StartAsync(
            "NutrientLedger.Benchmarks.dll",
            "flat",
            database.ConnectionString
        );
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var postmaster = await ProcessUsage.PostmasterAsync(source);
        var farm = new SeasonFarm(BenchFarm.Id, Applicators, FieldsEach: 1);
        await VersionHub.WithAllAsync(
            options.Versions,
            [farm],
            async hubs =>
            {
                for (var round = 0; round <= options.Rounds; round++)
                    foreach (var (readings, messages) in Shapes)
                        await RoundAsync(
                            Comparison.InTurn(hubs, round),
                            Messages(farm, readings, messages),
                            readings,
                            round == 0 ? new([]) : figures
                        );
            }
        );

        async Task RoundAsync(IEnumerable<VersionHub> hubs, byte[][][] messages, int readings, Figures into)
        {
            var count = messages.Sum(own => own.Length);
            var what = $"{readings} {(readings == 1 ? "reading" : "readings")} a message";
            var passed = count / (await mosquitto.RunAsync(messages)).TotalSeconds;
            var before = FlatCpu();
            var stored = count / (await Devices.SendAllAsync(flat.MqttPort, messages, Task.CompletedTask)).TotalSeconds;
            var ofFlat = (FlatCpu() - before).Both;
            foreach (var hub in hubs)
            {
                var cpu = hub.Cpu;
                var took = await Devices.SendAllAsync(hub.MqttPort, messages, Task.CompletedTask);
                await hub.SettleAsync();
                var (name, committed) = (hub.Version.Name, count / took.TotalSeconds);
                into.Add($"{what}, messages/s", name, committed);
                into.Add($"{what}, of mosquitto (a)", name, committed / passed);
                into.Add($"{what}, of the flat table (b)", name, committed / stored);
                var spent = (hub.Cpu - cpu).Both;
                into.Add($"{what}, processor s for 100,000 messages", name, spent * 100_000 / count);
                into.Add($"{what}, processor of the flat table's (b)", name, spent / ofFlat);
            }

            Cpu FlatCpu() => new(ProcessUsage.CpuSeconds(flat.Id), ProcessUsage.ServerCpuSeconds(postmaster));
        }
    }

    /// <summary>Messages of each applicator, kept since the newest season began. Each call is a new boot.</summary>
    private static byte[][][] Messages(SeasonFarm farm, int readings, int messages)
    {
        var (number, firstMs) = (++boot, SeasonCalendar.WorkBeginsMs(SeasonCalendar.NewestBegins));
        return [.. Enumerable.Range(0, Applicators).Select(Own)];

        byte[][] Own(int applicator) =>
            [
                .. new SpreadingDrive(applicator, farm.FieldsOf(applicator), secondsAReading: 1)
                    .Readings()
                    .Take(readings * messages / Applicators)
                    .Chunk(readings)
                    .Select(
                        (message, i) =>
                            DriveMessages.Spread(
                                message,
                                number,
                                1 + (i * readings),
                                firstMs + (i * readings * 1000L),
                                stepMs: 1000
                            )
                    ),
            ];
    }
}
