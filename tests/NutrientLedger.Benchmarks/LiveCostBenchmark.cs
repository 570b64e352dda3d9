namespace NutrientLedger.Benchmarks;

/// <summary>
/// What live operation costs: 200 messages a second of one reading each, from 20 applicators. Each version of the hub
/// runs with its own PostgreSQL, and they are measured in turn, so only their ratios say something.
/// </summary>
internal static class LiveCostBenchmark
{
    private const int Applicators = 20;
    private const int MessagesPerSecond = 200;

    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(25);
    private static readonly TimeSpan Window = TimeSpan.FromSeconds(12);

    public static Task RunAsync(BenchOptions options, Figures figures)
    {
        var farm = new SeasonFarm(BenchFarm.Id, Applicators, FieldsEach: 1);
        return VersionHub.WithAllAsync(
            options.Versions,
            [farm],
            async hubs =>
            {
                var applicators = Enumerable.Range(0, Applicators).Select(i => (farm, i)).ToList();
                var traffic = hubs.Select(hub =>
                        (hub.Version.Name, SteadyTraffic.Of(hub, applicators, MessagesPerSecond, readingsAMessage: 1))
                    )
                    .ToList();
                foreach (var (_, one) in traffic)
                    await one.RunAsync(WarmUp);
                for (var round = 0; round < options.Rounds; round++)
                    foreach (var (name, one) in Comparison.InTurn(traffic, round))
                    {
                        var cost = await one.RunAsync(Window);
                        figures.Add("live: 200 messages/s of one reading, cores", name, cost.Cores);
                        figures.Add("live: of that PostgreSQL, cores", name, cost.Cpu.Server / cost.Seconds);
                        figures.Add("live: acknowledged, p50 ms", name, cost.At(0.5));
                        figures.Add("live: acknowledged, p99 ms", name, cost.At(0.99));
                    }
            }
        );
    }
}
