namespace NutrientLedger.Benchmarks;

/// <summary>Many farms against one farm with as many devices. All send messages of five readings.</summary>
internal static class FarmsBenchmark
{
    private const int Farms = 200;
    private const int DevicesTogether = 200;
    private const int DevicesLive = 300;
    private const int FarmsLive = 100;
    private const int Readings = 5;
    private const int Bursts = 5;

    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(4);
    private static readonly TimeSpan Window = TimeSpan.FromSeconds(6);

    public static Task RunAsync(BenchOptions options, Figures figures)
    {
        var one = new SeasonFarm("one-farm", DevicesLive, FieldsEach: 1);
        var many = Enumerable
            .Range(0, Farms)
            .Select(i => new SeasonFarm($"farm-{i}", i < FarmsLive ? DevicesLive / FarmsLive : 1, FieldsEach: 1))
            .ToList();
        return VersionHub.WithAllAsync(
            options.Versions,
            [one, .. many],
            async hubs =>
            {
                var all = hubs.Select(hub => new Traffic(
                        hub.Version.Name,
                        Of(hub, DevicesTogether, i => (many[i], 0)),
                        Of(hub, DevicesTogether, i => (one, i)),
                        Of(hub, DevicesLive, i => (many[i % FarmsLive], i / FarmsLive)),
                        Of(hub, DevicesLive, i => (one, i))
                    ))
                    .ToList();
                foreach (var traffic in all)
                foreach (var each in traffic.All)
                    await each.RunAsync(WarmUp);
                for (var round = 0; round < options.Rounds; round++)
                    foreach (var traffic in Comparison.InTurn(all, round))
                        await RoundAsync(traffic, figures);
            }
        );
    }

    private static async Task RoundAsync(Traffic traffic, Figures figures)
    {
        figures.Add(
            "200 messages at once in 200 farms, processor ms a message",
            traffic.Name,
            1000 * await traffic.TogetherInMany.TogetherAsync(Bursts)
        );
        figures.Add(
            "200 messages at once in one farm, processor ms a message",
            traffic.Name,
            1000 * await traffic.TogetherInOne.TogetherAsync(Bursts)
        );
        var cost = await traffic.LiveInMany.RunAsync(Window);
        figures.Add("300 messages/s in 100 farms, acknowledged p50 ms", traffic.Name, cost.At(0.5));
        figures.Add("300 messages/s in 100 farms, acknowledged p99 ms", traffic.Name, cost.At(0.99));
        cost = await traffic.LiveInOne.RunAsync(Window);
        figures.Add("300 messages/s in one farm, acknowledged p50 ms", traffic.Name, cost.At(0.5));
        figures.Add("300 messages/s in one farm, acknowledged p99 ms", traffic.Name, cost.At(0.99));
    }

    private static SteadyTraffic Of(VersionHub hub, int devices, Func<int, (SeasonFarm, int)> device) =>
        SteadyTraffic.Of(hub, [.. Enumerable.Range(0, devices).Select(device)], messagesPerSecond: devices, Readings);

    private sealed record Traffic(
        string Name,
        SteadyTraffic TogetherInMany,
        SteadyTraffic TogetherInOne,
        SteadyTraffic LiveInMany,
        SteadyTraffic LiveInOne
    )
    {
        public IReadOnlyList<SteadyTraffic> All => [TogetherInMany, TogetherInOne, LiveInMany, LiveInOne];
    }
}
