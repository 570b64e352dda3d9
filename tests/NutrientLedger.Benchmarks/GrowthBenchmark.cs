using System.Diagnostics;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// What corrections and queries of the newest season cost when there are more seasons before it. Each version has a hub
/// for each number of seasons, and all are measured in turn.
/// </summary>
internal static class GrowthBenchmark
{
    private const int Applicators = 2;
    private const int FieldsEach = 20;

    private static readonly int[] Seasons = [1, 3, 10];
    private static readonly SeasonFarm Farm = new(BenchFarm.Id, Applicators, FieldsEach);

    /// <summary>Measures and prints a row for each figure and version.</summary>
    public static async Task RunAsync(BenchOptions options)
    {
        var figures = new Figures([.. Seasons.Select(Text)]);
        await RunAsync(options, (what, of, value) => figures.Add($"{what} ({of.Version})", Text(of.Seasons), value));
        figures.Print($"growth {Seasons[0]} to {Seasons[^1]}");
    }

    /// <summary>Measures and adds a figure for each number of seasons.</summary>
    public static Task RunAsync(BenchOptions options, Figures figures) =>
        RunAsync(options, (what, of, value) => figures.Add($"{what}, {Text(of.Seasons)}", of.Version, value));

    private static async Task RunAsync(
        BenchOptions options,
        Action<string, (string Version, int Seasons), double> report
    )
    {
        var hubs = new List<(VersionHub Hub, int Seasons)>();
        try
        {
            foreach (var version in options.Versions)
            foreach (var seasons in Seasons)
            {
                var hub = await VersionHub.StartAsync(version);
                hubs.Add((hub, seasons));
                await FillAsync(hub, seasons, options.ReadingsASeason);
            }
            // The first round includes JIT compilation, which is not measured.
            for (var round = 0; round <= options.Rounds; round++)
            {
                foreach (var (hub, seasons) in Comparison.InTurn(hubs, round))
                    await new SeasonSteps(
                        hub,
                        Farm,
                        (what, value) =>
                        {
                            if (round > 0)
                                report(what, (hub.Version.Name, seasons), value);
                        }
                    ).RunAsync(round);
                Console.WriteLine($"growth: round {round} of {options.Rounds} done");
            }
        }
        finally
        {
            foreach (var (hub, _) in hubs)
                await hub.DisposeAsync();
        }
    }

    private static string Text(int seasons) => seasons == 1 ? "1 season" : $"{seasons} seasons";

    private static async Task FillAsync(VersionHub hub, int seasons, int readingsASeason)
    {
        await hub.ImportAsync(Farm);
        var watch = Stopwatch.StartNew();
        var feed = new SeasonFeed(Farm, readingsASeason);
        await feed.SendAsync(hub.MqttPort, seasons);
        var sent = watch.Elapsed.TotalSeconds;
        await hub.SettleAsync();
        await feed.CheckAsync(hub, seasons);
        Console.WriteLine(
            $"{hub.Version.Name}: {seasons} seasons of {readingsASeason} readings sent in {sent:0} s, posted in {watch.Elapsed.TotalSeconds:0} s"
        );
        await hub.ExecuteAsync("vacuum analyze");
        await hub.ExecuteAsync("checkpoint");
    }
}
