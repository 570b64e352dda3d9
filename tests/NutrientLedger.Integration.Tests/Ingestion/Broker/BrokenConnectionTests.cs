using System.Net.Sockets;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Integration.Tests.Farms;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

public sealed class BrokenConnectionTests
{
    // A CONNECT of MQTT 3.1.1 with client id "a", clean session and the longest keep-alive, 18 hours (MQTT 3.1.1
    // section 3.1).
    private static readonly byte[] Connect = [0x10, 13, 0, 4, .. "MQTT"u8, 4, 2, 0xFF, 0xFF, 0, 1, (byte)'a'];

    // No connection here may end only because it was silent too long.
    private static readonly IngestionLimits Patient = new()
    {
        SilenceMax = 2 * IngestionTestHost.Generous,
        PacketBytesMax = 1024 * 1024,
    };

    [Fact]
    public async Task Forty_connections_closed_inside_a_packet_end_and_the_broker_survives()
    {
        await using var host = await IngestionTestHost.StartAsync(Patient);
        var connections = new List<NetworkStream>();
        for (var i = 0; i < 40; i++)
        {
            var connection = await host.BareConnectionAsync();
            await connection.WriteAsync(Connect.AsMemory(0, 1 + (i % (Connect.Length - 1))));
            connection.Socket.Shutdown(SocketShutdown.Send);
            connections.Add(connection);
        }

        foreach (var connection in connections)
            Assert.True(await IsEndedAsync(connection));
        using var device = await host.DeviceAsync();
        await device.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous);
        Assert.Equal([1], host.Journal.Seqs);
    }

    [Fact]
    public async Task A_connection_closed_inside_a_message_ends_and_nothing_of_it_is_stored()
    {
        await using var host = await IngestionTestHost.StartAsync(Patient);
        await using var connection = await host.BareConnectionAsync();
        await connection.WriteAsync(Connect);
        await connection.ReadExactlyAsync(new byte[4]);

        byte[] halfPublish = [0x32, 100, 0, 33, .. "agri/v1/quarry-farm/gauge-1/store"u8];
        await connection.WriteAsync(halfPublish);
        connection.Socket.Shutdown(SocketShutdown.Send);

        Assert.True(await IsEndedAsync(connection));
        Assert.Empty(host.Journal.Batches);
        Assert.Empty(host.Journal.Rejected);
    }

    [Theory]
    [InlineData(new byte[] { 0x30, 0x80, 0x80, 0x80, 0x01 })] // 2 MiB announced.
    [InlineData(new byte[] { 0x30, 0xFF, 0xFF, 0xFF, 0x7F })] // 256 MiB announced.
    [InlineData(new byte[] { 0x30, 0xFF, 0xFF, 0xFF, 0xFF, 0x01 })] // A length of five bytes is none.
    public async Task A_packet_that_announces_too_much_ends_its_connection_at_once(byte[] header)
    {
        await using var host = await IngestionTestHost.StartAsync(Patient);
        await using var connection = await host.BareConnectionAsync();

        await connection.WriteAsync(header);

        Assert.True(await IsEndedAsync(connection));
    }

    [Fact]
    public async Task A_packet_may_be_as_large_as_announced_and_no_larger()
    {
        await using var host = await IngestionTestHost.StartAsync(Patient with { PacketBytesMax = 4096 });
        var overhead = 3 + 2 + Messages.StoreTopic.Length + 2 + 1;
        using (var fitting = await host.DeviceAsync())
            await fitting.PublishLevelAsync(1, 4096 - overhead).WaitAsync(IngestionTestHost.Generous);
        using var device = await host.DeviceAsync(version: MQTTnet.Formatter.MqttProtocolVersion.V311);

        await Assert.ThrowsAnyAsync<Exception>(() =>
            device.PublishLevelAsync(2, 4096).WaitAsync(IngestionTestHost.Generous)
        );

        Assert.Equal([1], host.Journal.Seqs);
    }

    [Fact]
    public async Task Any_bytes_on_a_closed_connection_leave_the_broker_running()
    {
        await using var host = await IngestionTestHost.StartAsync(Patient);
        byte[] publish = [0x32, 37, 0, 33, .. "agri/v1/quarry-farm/gauge-1/store"u8, 0, 1];
        var random = new Random(20261124);
        for (var round = 0; round < 15; round++)
        {
            var connections = new List<NetworkStream>();
            for (var i = 0; i < 20; i++)
            {
                var connection = await host.BareConnectionAsync();
                // The broker may close a connection before all of it is written.
                await Record.ExceptionAsync(async () =>
                {
                    await connection.WriteAsync(Broken(random, [.. Connect, .. publish, .. publish]));
                    connection.Socket.Shutdown(SocketShutdown.Send);
                });
                connections.Add(connection);
            }
            foreach (var connection in connections)
                Assert.True(await IsEndedAsync(connection));
        }

        using var device = await host.DeviceAsync();
        await device.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous);
        Assert.Equal([1], host.Journal.Seqs);
    }

    private static byte[] Broken(Random random, byte[] packets)
    {
        for (var changes = random.Next(1, 5); changes > 0; changes--)
            packets[random.Next(packets.Length)] = (byte)random.Next(256);
        return random.Next(3) == 0 ? packets[..random.Next(1, packets.Length)] : packets;
    }

    private static async Task<bool> IsEndedAsync(NetworkStream connection)
    {
        using var limit = new CancellationTokenSource(IngestionTestHost.Generous);
        try
        {
            // Reads and drops what the broker has already sent.
            while (await connection.ReadAsync(new byte[256], limit.Token) > 0) { }
            return true;
        }
        catch (IOException)
        {
            return true;
        }
    }
}
