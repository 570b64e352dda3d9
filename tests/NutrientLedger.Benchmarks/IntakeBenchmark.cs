using System.Diagnostics;
using Npgsql;
using NpgsqlTypes;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// Messages a second from publish to committed, ledgers being posted at the same time as they are in use, against the floor:
/// binary COPY of the same payload bytes into a bare table. Each round measures both, so that the ratio of a round holds on a
/// noisy machine; the median round is printed.
/// </summary>
internal static class IntakeBenchmark
{
    private const int Rounds = 3;
    private const int InFlight = 128;

    private static long boot;

    public static async Task RunAsync(BenchHub hub, BenchDatabase database)
    {
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        // Stored as they are: packing long values would make the floor slower than it has to be.
        await using (
            var table = source.CreateCommand(
                """
                create table bench_floor (topic text, payload bytea);
                alter table bench_floor alter column payload set storage external
                """
            )
        )
            await table.ExecuteNonQueryAsync();
        // The first messages pay for compiling code and making connections, which is not what is measured.
        await SendAllAsync(hub, Messages(readings: 5, count: 400));
        await hub.SettleAsync();

        Console.WriteLine("Publish to committed; median of 3 rounds (all rounds in brackets)");
        Console.WriteLine(
            "readings/msg   bytes  messages/s  readings/s   COPY messages/s   messages/commit  ms/commit   ratio to COPY"
        );
        foreach (var (readings, count) in new[] { (1, 6000), (5, 4000), (10, 3000), (60, 800) })
        {
            var rounds = new List<(double Sent, double Copied)>();
            var bytes = 0;
            using var commits = new CommitMeter();
            for (var round = 0; round < Rounds; round++)
            {
                var messages = Messages(readings, count);
                bytes = messages[0][0].Length;
                var copied = await CopyAsync(source, messages);
                var sent = await SendAllAsync(hub, messages);
                await hub.SettleAsync();
                rounds.Add((count / sent.TotalSeconds, count / copied.TotalSeconds));
            }
            rounds.Sort((a, b) => (a.Sent / a.Copied).CompareTo(b.Sent / b.Copied));
            var (sentRate, copyRate) = rounds[Rounds / 2];
            var all = string.Join(' ', rounds.Select(r => $"{r.Sent / r.Copied:0.000}"));
            Console.WriteLine(
                $"{readings, 12} {bytes, 7} {sentRate, 11:0} {sentRate * readings, 11:0} {copyRate, 17:0} {commits.MessagesACommit, 17:0} {commits.MillisecondsACommit, 10:0.0}   {sentRate / copyRate:0.000} [{all}]"
            );
        }
    }

    /// <summary>Messages of each machine, as if they had been kept while it was out of reach.</summary>
    private static byte[][][] Messages(int readings, int count)
    {
        boot++;
        var start = new DateTimeOffset(2026, 6, 1, 12, 0, 0, TimeSpan.Zero).ToUnixTimeMilliseconds();
        return
        [
            .. Enumerable
                .Range(0, BenchFarm.Machines)
                .Select(machine =>
                    Enumerable
                        .Range(0, count / BenchFarm.Machines)
                        .Select(i =>
                            BenchFarm.Message(
                                machine,
                                boot,
                                1 + ((long)i * readings),
                                readings,
                                start + ((long)i * readings * 1000),
                                1000
                            )
                        )
                        .ToArray()
                ),
        ];
    }

    private static async Task<TimeSpan> SendAllAsync(BenchHub hub, byte[][][] messages)
    {
        var clients = await Task.WhenAll(Enumerable.Range(0, messages.Length).Select(hub.MachineAsync));
        var watch = Stopwatch.StartNew();
        await Task.WhenAll(messages.Select((own, machine) => SendAsync(clients[machine], machine, own)));
        watch.Stop();
        foreach (var client in clients)
            client.Dispose();
        return watch.Elapsed;
    }

    private static async Task SendAsync(MQTTnet.IMqttClient client, int machine, byte[][] messages)
    {
        using var window = new SemaphoreSlim(InFlight);
        var sent = new List<Task>(messages.Length);
        foreach (var message in messages)
        {
            await window.WaitAsync();
            sent.Add(SendOneAsync(message));
        }
        await Task.WhenAll(sent);

        async Task SendOneAsync(byte[] message)
        {
            try
            {
                await BenchHub.SendAsync(client, machine, message);
            }
            finally
            {
                window.Release();
            }
        }
    }

    private static async Task<TimeSpan> CopyAsync(NpgsqlDataSource source, byte[][][] messages)
    {
        await using var connection = await source.OpenConnectionAsync();
        var watch = Stopwatch.StartNew();
        await using (
            var copy = await connection.BeginBinaryImportAsync(
                "copy bench_floor (topic, payload) from stdin (format binary)"
            )
        )
        {
            for (var machine = 0; machine < messages.Length; machine++)
            {
                var topic = BenchFarm.Topic(machine);
                foreach (var message in messages[machine])
                {
                    await copy.StartRowAsync();
                    await copy.WriteAsync(topic, NpgsqlDbType.Text);
                    await copy.WriteAsync(message, NpgsqlDbType.Bytea);
                }
            }
            await copy.CompleteAsync();
        }
        return watch.Elapsed;
    }
}
