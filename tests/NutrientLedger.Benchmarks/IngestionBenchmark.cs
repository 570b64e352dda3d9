using Npgsql;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// Messages a second from publish to committed, while ledgers are posted as in use, against two floors that get the
/// same messages from the same devices. Each round measures all three, so that the ratios of a round hold on a noisy
/// machine. The median round is printed. Processor time is that of all rounds, for the hub until all is posted too.
/// </summary>
internal static class IngestionBenchmark
{
    private const int Rounds = 3;

    private static readonly Shape[] Shapes =
    [
        new("1", Applicators: 8, Readings: 1, Messages: 12_000, StepMs: 1000),
        new("5", Applicators: 8, Readings: 5, Messages: 8_000, StepMs: 1000),
        new("10", Applicators: 8, Readings: 10, Messages: 6_000, StepMs: 1000),
        new("60", Applicators: 8, Readings: 60, Messages: 1_600, StepMs: 1000),
        new("5, live-shaped", Applicators: 20, Readings: 5, Messages: 8_000, StepMs: 100),
    ];

    public static async Task RunAsync(BenchHub hub, BenchDatabase database)
    {
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var postmaster = await ProcessUsage.PostmasterAsync(source);
        await using var mosquitto = await MosquittoFloor.StartAsync();
        await using var flat = await ChildProcess.StartAsync(
            "NutrientLedger.Benchmarks.dll",
            "flat",
            database.ConnectionString
        );
        Cpu Now(int program) => new(ProcessUsage.CpuSeconds(program), ProcessUsage.ServerCpuSeconds(postmaster));
        var storedBefore = await StoredAsync(source);
        // The first messages include JIT compilation and new connections, which are not measured.
        var first = Devices.Kept(applicators: 8, readings: 5, count: 4_000, stepMs: 1000);
        await mosquitto.RunAsync(first);
        await Devices.SendAllAsync(flat.MqttPort, first, Task.CompletedTask);
        await Devices.SendAllAsync(hub.MqttPort, first, Task.CompletedTask);
        await hub.SettleAsync();

        Console.WriteLine(
            $"Publish to committed, messages/s; median of {Rounds} rounds (ratios of all in brackets). CPU: seconds per 100,000 messages."
        );
        Console.WriteLine(
            "readings/msg    mosquitto  flat table        hub  hub readings/s   hub/mosquitto              hub/flat table             CPU hub + PG   CPU flat + PG   msgs/commit  ms/commit"
        );
        foreach (var shape in Shapes)
        {
            var rounds = new List<Round>();
            var before = await hub.CommitsAsync();
            Cpu ofHub = default;
            Cpu ofFlat = default;
            for (var round = 0; round < Rounds; round++)
            {
                var messages = Devices.Kept(shape.Applicators, shape.Readings, shape.Messages, shape.StepMs);
                var passed = await mosquitto.RunAsync(messages);
                var begun = Now(flat.Id);
                var stored = await Devices.SendAllAsync(flat.MqttPort, messages, Task.CompletedTask);
                ofFlat += Now(flat.Id) - begun;
                begun = Now(hub.ProcessId);
                var committed = await Devices.SendAllAsync(hub.MqttPort, messages, Task.CompletedTask);
                await hub.SettleAsync();
                ofHub += Now(hub.ProcessId) - begun;
                rounds.Add(new(Rate(passed), Rate(stored), Rate(committed)));
            }
            var commits = await hub.CommitsAsync() - before;
            Print(shape, [.. rounds.OrderBy(round => round.ToFlat)], ofHub, ofFlat, commits);

            double Rate(TimeSpan took) => shape.Messages / took.TotalSeconds;
        }
        var (rows, readings) = (await RowsAsync(source), await StoredAsync(source) - storedBefore);
        var sent =
            first.Sum(own => own.Length) * 5L + Shapes.Sum(shape => (long)Rounds * shape.Messages * shape.Readings);
        if (rows != sent || readings != sent)
            throw new InvalidOperationException(
                $"{sent} readings were acknowledged to both, but the flat table has {rows} and the journal {readings}."
            );
        Console.WriteLine($"Each of the {sent} readings is in the flat table and in the journal.");
    }

    private static Task<long> RowsAsync(NpgsqlDataSource source) =>
        NumberAsync(source, "select count(*) from flat_reading");

    private static Task<long> StoredAsync(NpgsqlDataSource source) =>
        NumberAsync(source, "select coalesce(sum(readings_stored), 0)::bigint from ingestion.device");

    private static async Task<long> NumberAsync(NpgsqlDataSource source, string sql)
    {
        await using var command = source.CreateCommand(sql);
        return (long)(await command.ExecuteScalarAsync())!;
    }

    private static void Print(Shape shape, IReadOnlyList<Round> rounds, Cpu ofHub, Cpu ofFlat, Commits commits)
    {
        var median = rounds[rounds.Count / 2];
        var toMosquitto = string.Join(' ', rounds.Select(round => $"{round.ToMosquitto:0.00}"));
        var toFlat = string.Join(' ', rounds.Select(round => $"{round.ToFlat:0.00}"));
        var share = 100_000.0 / (rounds.Count * shape.Messages);
        Console.WriteLine(
            $"{shape.Name, -14} {median.Mosquitto, 10:0} {median.Flat, 11:0} {median.Hub, 10:0} {median.Hub * shape.Readings, 15:0}   {median.ToMosquitto:0.00} [{toMosquitto}]   {median.ToFlat:0.00} [{toFlat}]   {ofHub.Program * share, 6:0.0} + {ofHub.Server * share, -6:0.0} {ofFlat.Program * share, 6:0.0} + {ofFlat.Server * share, -6:0.0} {commits.Messages / commits.Count, 12:0} {1000 * commits.Seconds / commits.Count, 10:0.0}"
        );
    }

    /// <summary>Traffic by its name in the table. The step is the time between readings of an applicator.</summary>
    private sealed record Shape(string Name, int Applicators, int Readings, int Messages, int StepMs);

    private sealed record Round(double Mosquitto, double Flat, double Hub)
    {
        public double ToMosquitto => Hub / Mosquitto;

        public double ToFlat => Hub / Flat;
    }
}
