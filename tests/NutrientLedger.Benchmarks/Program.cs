using System.Globalization;
using NutrientLedger.Benchmarks;

// The measurements of this hub, on this machine, now. Run with -c Release; each but endurance ends within a few
// minutes.
if (args is ["flat", var connectionString])
{
    await FlatIngester.RunAsync(connectionString);
    return 0;
}
if (args is [var comparison, .. var arguments] && Comparison.IsKnown(comparison))
{
    if (BenchOptions.Parse(arguments) is not { } options)
    {
        Console.Error.WriteLine($"Say: {comparison} {BenchOptions.Text}; a season has 10,000 readings or more.");
        return 1;
    }
    await Comparison.RunAsync(comparison, options);
    return 0;
}
var wanted = args is [var first, ..] ? first : "all";
var number = args is [_, var asked] && int.TryParse(asked, CultureInfo.InvariantCulture, out var given) ? given : 0;
var minutes = args.Length == 1 ? 10 : number;
var readings = args.Length == 1 ? ReplayBenchmark.ReadingsOfASeason : number;
if (
    wanted is not ("ingestion" or "latency" or "endurance" or "replay" or "correction" or "gaps" or "all")
    || args.Length > (wanted is "endurance" or "replay" or "correction" ? 2 : 1)
    || (wanted is "endurance" && minutes < 1)
    || (wanted is "replay" or "correction" && readings < ReplaySeason.Fields * 100)
)
{
    Console.Error.WriteLine(
        "Say which: ingestion, latency, all (both of these), gaps, live, growth, farms, wal, floors, table (these six with paths of other versions' NutrientLedger.Hub.dll), endurance with a number of minutes (10), replay or correction with a number of readings (2000000)."
    );
    return 1;
}
if (!OperatingSystem.IsLinux())
{
    Console.Error.WriteLine("Processor time and memory are read from Linux's /proc; run the benchmarks on Linux.");
    return 1;
}
Console.WriteLine($"Load of this machine before the start: {ProcessUsage.Load()}");
await using var database = await BenchDatabase.OpenAsync();
if (wanted is "gaps")
{
    await GapsBenchmark.RunAsync(database.ConnectionString);
    Console.WriteLine($"Load of this machine at the end: {ProcessUsage.Load()}");
    return 0;
}
await using var hub = await BenchHub.StartAsync(database.ConnectionString);
if (wanted is "latency" or "all")
    await LatencyBenchmark.RunAsync(hub);
if (wanted is "ingestion" or "all")
    await IngestionBenchmark.RunAsync(hub, database);
if (wanted is "replay")
    await ReplayBenchmark.RunAsync(hub, database, readings);
if (wanted is "correction")
    await CorrectionBenchmark.FillAndRunAsync(hub, database, readings);
if (wanted is "endurance")
    await EnduranceBenchmark.RunAsync(hub, minutes);
Console.WriteLine($"Load of this machine at the end: {ProcessUsage.Load()}");
var audit = await hub.Audit.RunAsync(BenchFarm.Id, CancellationToken.None);
Console.WriteLine($"Audit of what was measured with: {audit.Events} events, {audit.Findings.Count} findings.");
return audit.Findings.Count == 0 ? 0 : 1;
