using NutrientLedger.Benchmarks;

// The measurements of this hub, on this machine, now. Run with -c Release; each ends within two minutes.
var wanted = args is [var one] ? one : "all";
if (wanted is not ("intake" or "latency" or "all"))
{
    Console.Error.WriteLine("Say which: intake, latency or all.");
    return 1;
}
await using var database = await BenchDatabase.OpenAsync();
await using var hub = await BenchHub.StartAsync(database.ConnectionString);
if (File.Exists("/proc/loadavg"))
    Console.WriteLine($"Load of this machine before the start: {File.ReadAllText("/proc/loadavg").Split(' ')[0]}");
if (wanted is "intake" or "all")
    await IntakeBenchmark.RunAsync(hub, database);
if (wanted is "latency" or "all")
    await LatencyBenchmark.RunAsync(hub);
var audit = await hub.Audit.RunAsync(BenchFarm.Id, CancellationToken.None);
Console.WriteLine($"Audit of what was measured with: {audit.Entries} entries, {audit.Findings.Count} findings.");
return audit.Findings.Count == 0 ? 0 : 1;
