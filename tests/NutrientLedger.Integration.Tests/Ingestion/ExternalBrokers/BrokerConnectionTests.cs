using System.Net;
using MQTTnet;
using NutrientLedger.Ingestion.ExternalBrokers;
using NutrientLedger.Ingestion.Queueing;

namespace NutrientLedger.Integration.Tests.Ingestion.ExternalBrokers;

public sealed class BrokerConnectionTests
{
    /// <summary>The largest segment of the loopback: its packet of 64 KiB without headers.</summary>
    private const int SegmentBytes = 64 * 1024;

    [Fact]
    public void The_socket_has_room_for_several_of_the_largest_segments()
    {
        var broker = new NutrientLedger.Ingestion.ExternalBrokers.ExternalBroker("broker", 1884, [], "hub");

        var options = BrokerConnection.Options(broker, broker.Partitions[0], new IngestionLimits());

        var tcp = Assert.IsType<MqttClientTcpOptions>(options.ChannelOptions);
        Assert.True(tcp.BufferSize >= 4 * SegmentBytes, $"{tcp.BufferSize} bytes");
        Assert.Equal(new DnsEndPoint("broker", 1884), tcp.RemoteEndpoint);
    }
}
