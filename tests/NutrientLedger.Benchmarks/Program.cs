using System.Globalization;
using NutrientLedger.Benchmarks;

// The measurements of this hub, on this machine, now. Run with -c Release; each but endurance ends within a few
// minutes.
if (args is ["flat", var connectionString])
{
    await FlatIngester.RunAsync(connectionString);
    return 0;
}
var wanted = args is [var first, ..] ? first : "all";
var number = args is [_, var asked] && int.TryParse(asked, CultureInfo.InvariantCulture, out var given) ? given : 0;
var minutes = args.Length == 1 ? 10 : number;
var readings = args.Length == 1 ? ReplayBenchmark.ReadingsOfASeason : number;
if (
    wanted is not ("intake" or "latency" or "endurance" or "replay" or "correction" or "holes" or "all")
    || args.Length > (wanted is "endurance" or "replay" or "correction" ? 2 : 1)
    || (wanted is "endurance" && minutes < 1)
    || (wanted is "replay" or "correction" && readings < ReplaySeason.Fields * 100)
)
{
    Console.Error.WriteLine(
        "Say which: intake, latency, all (both of these), holes, endurance with a number of minutes (10), replay or correction with a number of readings (2000000)."
    );
    return 1;
}
if (!OperatingSystem.IsLinux())
{
    Console.Error.WriteLine("Processor time and memory are read from Linux's /proc; run the benchmarks on Linux.");
    return 1;
}
Console.WriteLine($"Load of this machine before the start: {ProcessFigures.Load()}");
await using var database = await BenchDatabase.OpenAsync();
if (wanted is "holes")
{
    await HolesBenchmark.RunAsync(database.ConnectionString);
    Console.WriteLine($"Load of this machine at the end: {ProcessFigures.Load()}");
    return 0;
}
await using var hub = await BenchHub.StartAsync(database.ConnectionString);
if (wanted is "latency" or "all")
    await LatencyBenchmark.RunAsync(hub);
if (wanted is "intake" or "all")
    await IntakeBenchmark.RunAsync(hub, database);
if (wanted is "replay")
    await ReplayBenchmark.RunAsync(hub, database, readings);
if (wanted is "correction")
    await CorrectionBenchmark.FillAndRunAsync(hub, database, readings);
if (wanted is "endurance")
    await EnduranceBenchmark.RunAsync(hub, minutes);
Console.WriteLine($"Load of this machine at the end: {ProcessFigures.Load()}");
var audit = await hub.Audit.RunAsync(BenchFarm.Id, CancellationToken.None);
Console.WriteLine($"Audit of what was measured with: {audit.Events} entries, {audit.Findings.Count} findings.");
return audit.Findings.Count == 0 ? 0 : 1;
