using System.Globalization;
using System.Net;
using System.Net.Sockets;
using NutrientLedger.Integration.Tests.Farms;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

/// <summary>
/// Goal: whatever bytes a connection sends in place of MQTT packets, the broker's memory stays flat and other devices
/// are served meanwhile. Method: sound packets are mutated at random, a few to a connection.
/// </summary>
public sealed class MutatedPacketTests(ITestOutputHelper output)
{
    private const int Usual = 1_000;
    private const int Seed = 20261201;
    private const int PacketsAConnection = 8;
    private const double MebibytesMore = 64;

    private readonly Random random = new(Seed);

    [Fact]
    public async Task Broken_packets_cost_no_memory_and_hold_no_other_device_up()
    {
        var packets = int.TryParse(
            Environment.GetEnvironmentVariable("NUTRIENT_LEDGER_TEST_PACKETS"),
            CultureInfo.InvariantCulture,
            out var given
        )
            ? given
            : Usual;
        await using var host = await IngestionTestHost.StartAsync();
        using var other = await host.DeviceAsync("gauge-2");
        var (early, served) = (0.0, 0L);
        for (var sent = 0; sent < packets; sent += PacketsAConnection)
        {
            await SendAsync(host.Port);
            if (sent / PacketsAConnection % 10 != 0)
                continue;
            // Another device's message is stored meanwhile.
            var answer = await other.PublishLevelAsync(++served).WaitAsync(IngestionTestHost.Generous);
            Assert.True(answer.IsSuccess, answer.ReasonString);
            if (early == 0 && sent >= packets / 10)
                early = Mebibytes();
        }

        var end = Mebibytes();
        output.WriteLine(
            $"{packets} packets; managed memory {early:0.0} MiB after a tenth, {end:0.0} MiB at the end; {host.Journal.Rejected.Count} messages rejected"
        );
        Assert.Equal(served, host.Journal.Seqs.Where(seq => seq <= served).Distinct().Count());
        Assert.InRange(end, 0, early + MebibytesMore);
    }

    private static double Mebibytes() => GC.GetTotalMemory(forceFullCollection: true) / 1048576.0;

    private async Task SendAsync(int port)
    {
        using var connection = new TcpClient();
        await connection.ConnectAsync(IPAddress.Loopback, port);
        try
        {
            await using var stream = connection.GetStream();
            // Half of the connections begin soundly, so that what follows is read by a session.
            await stream.WriteAsync(
                random.Next(2) == 0 ? Mutated(Sound()) : BareMqtt.Connect($"broken-{random.Next(20)}")
            );
            for (var i = 1; i < PacketsAConnection; i++)
                await stream.WriteAsync(Mutated(Sound()));
            // The broker has read everything when it ends the connection too.
            connection.Client.Shutdown(SocketShutdown.Send);
            await stream.CopyToAsync(Stream.Null).WaitAsync(IngestionTestHost.Generous);
        }
        catch (IOException)
        {
            // The broker has closed the connection, as it should.
        }
    }

    private byte[] Sound() =>
        random.Next(6) switch
        {
            0 => BareMqtt.Connect($"broken-{random.Next(20)}"),
            1 => [0xC0, 0],
            2 => [0x82, 10, 0, 1, 0, 5, (byte)'a', (byte)'/', (byte)'b', (byte)'/', (byte)'#', 1],
            3 => [0x40, 2, 0, 1],
            4 => [0xE0, 0],
            _ => BareMqtt.Publish(
                "agri/v1/quarry-farm/gauge-1/store",
                Messages.Level(1_000_000 + random.Next(1000)),
                random.Next(1, 65536)
            ),
        };

    private byte[] Mutated(byte[] packet)
    {
        var bytes = packet.ToList();
        for (var times = random.Next(1, 5); times > 0; times--)
        {
            var place = random.Next(bytes.Count);
            switch (random.Next(4))
            {
                case 0:
                    bytes[place] ^= (byte)(1 << random.Next(8));
                    break;
                case 1:
                    bytes[place] = (byte)random.Next(256);
                    break;
                case 2:
                    bytes.Insert(place, (byte)random.Next(256));
                    break;
                default:
                    if (bytes.Count > 1)
                        bytes.RemoveAt(place);
                    break;
            }
        }
        return [.. bytes];
    }
}
