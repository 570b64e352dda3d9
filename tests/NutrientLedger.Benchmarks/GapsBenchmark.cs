using System.Collections.Immutable;
using System.Diagnostics;
using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Persistence;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// Goal: what a message costs in a boot with many gaps, and in one of a device with many boots. Method: the append
/// alone, without broker and posting, one message of five readings a commit, the median of 100.
/// </summary>
internal static class GapsBenchmark
{
    private const int Times = 100;
    private static readonly int[] Gaps = [0, 100, 500, 1000, 1900];
    private static readonly int[] Boots = [1, 1_000, 20_000];

    public static async Task RunAsync(string connectionString)
    {
        await using var services = new ServiceCollection()
            .AddLogging()
            .AddSingleton(TimeProvider.System)
            .AddPersistence(connectionString, keepsLedgersCurrent: false)
            .BuildServiceProvider();
        await services.GetRequiredService<SchemaMigration>().RunAsync(CancellationToken.None);
        var configurations = services.GetRequiredService<ConfigurationStore>();
        await configurations.RecordAsync(BenchFarm.Id, 0, BenchFarm.ConfigurationEvents(), CancellationToken.None);
        var journal = services.GetRequiredService<IJournal>();

        Console.WriteLine("| gaps in the boot | ms a message at its end, p50 | ms a message into a gap, p50 |");
        Console.WriteLine("|---|---|---|");
        await FiveEachAsync(journal, boot: 1, [.. Numbers(1, Times)]);
        var boot = 2;
        foreach (var gaps in Gaps)
        {
            // A message of five in every twenty numbers leaves a gap of fifteen.
            await journal.AppendAsync(
                [.. Numbers(0, gaps).Select(i => Message(boot, 1 + (i * 20)))],
                [],
                CancellationToken.None
            );
            var end = 1 + (gaps * 20L);
            var atEnd = await FiveEachAsync(journal, boot, [.. Numbers(0, Times - 1).Select(i => end + 5 + (i * 5))]);
            var within =
                gaps < Times
                    ? (double?)null
                    : await FiveEachAsync(journal, boot, [.. Numbers(0, Times - 1).Select(i => 11 + (i * 20))]);
            Console.WriteLine(FormattableString.Invariant($"| {gaps} | {atEnd:0.0} | {within:0.0} |"));
            boot++;
        }

        Console.WriteLine("| boots of the applicator | ms a message, p50 | ms to read its watermark |");
        Console.WriteLine("|---|---|---|");
        foreach (var boots in Boots)
        {
            for (; boot < boots; boot += 500)
                await journal.AppendAsync(
                    [.. Numbers(boot, Math.Min(boots, boot + 499)).Select(b => Message(b, 1))],
                    [],
                    CancellationToken.None
                );
            boot = Math.Max(boot, boots) + 1;
            var message = await FiveEachAsync(journal, boot, [.. Numbers(0, Times - 1).Select(i => 1 + (i * 5))]);
            var watch = Stopwatch.StartNew();
            for (var i = 0; i < 10; i++)
                await journal.WatermarksAsync([new(BenchFarm.Id, BenchFarm.Applicator(0))], CancellationToken.None);
            Console.WriteLine(
                FormattableString.Invariant($"| {boots} | {message:0.0} | {watch.Elapsed.TotalMilliseconds / 10:0.0} |")
            );
        }
    }

    private static async Task<double> FiveEachAsync(IJournal journal, long boot, long[] firsts)
    {
        var took = new List<double>();
        foreach (var first in firsts)
        {
            var begun = Stopwatch.GetTimestamp();
            await journal.AppendAsync([Message(boot, first)], [], CancellationToken.None);
            took.Add(Stopwatch.GetElapsedTime(begun).TotalMilliseconds);
        }
        took.Sort();
        return took[took.Count / 2];
    }

    private static DecodedMessage Message(long boot, long first)
    {
        ImmutableArray<SpreadReading> readings =
        [
            .. Numbers(first, first + 4)
                .Select(seq => new SpreadReading(
                    1_790_000_000_000 + (seq * 1000),
                    430_000_000 + (int)(seq % 1000),
                    -915_000_000,
                    2_200,
                    12_000,
                    true,
                    31_000,
                    seq * 31_000,
                    60_000,
                    4_100,
                    2_100,
                    800,
                    3_200
                )),
        ];
        return new(
            BenchFarm.Id,
            new SpreadingMeasured(new(BenchFarm.Applicator(0), boot, first, readings)),
            BenchFarm.Topic(0),
            ReadOnlyMemory<byte>.Empty
        );
    }

    private static IEnumerable<long> Numbers(long first, long last)
    {
        for (var number = first; number <= last; number++)
            yield return number;
    }
}
