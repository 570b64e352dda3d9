using System.Buffers.Binary;
using System.Text;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

/// <summary>
/// Packets of MQTT 3.1.1 written by hand (OASIS MQTT 3.1.1, sections 2.2, 3.1, 3.3 and 3.4), as a small device writes
/// them.
/// </summary>
internal static class BareMqtt
{
    private const int AcknowledgementBytes = 4;

    public static byte[] Connect(string clientId) => Packet(0x10, [.. Text("MQTT"), 4, 2, 0, 0, .. Text(clientId)]);

    public static byte[] Publish(string topic, byte[] payload, int packetId) =>
        Packet(0x32, [.. Text(topic), (byte)(packetId >> 8), (byte)packetId, .. payload]);

    /// <summary>Reads responses until so many are acknowledgements of messages. Returns how many came.</summary>
    public static async Task<int> CountAcknowledgementsAsync(Stream connection, int wanted)
    {
        var packet = new byte[AcknowledgementBytes];
        var acknowledged = 0;
        while (acknowledged < wanted)
        {
            // The responses to a CONNECT and to a PUBLISH of QoS 1 are both four bytes long.
            await connection.ReadExactlyAsync(packet);
            acknowledged += packet[0] == 0x40 ? 1 : 0;
        }
        return acknowledged;
    }

    private static byte[] Packet(byte kind, byte[] rest)
    {
        var length = new List<byte>();
        for (var left = rest.Length; length.Count == 0 || left > 0; left >>= 7)
            length.Add((byte)((left & 0x7F) | (left > 0x7F ? 0x80 : 0)));
        return [kind, .. length, .. rest];
    }

    private static byte[] Text(string text)
    {
        var bytes = new byte[2 + Encoding.UTF8.GetByteCount(text)];
        BinaryPrimitives.WriteUInt16BigEndian(bytes, (ushort)(bytes.Length - 2));
        Encoding.UTF8.GetBytes(text, bytes.AsSpan(2));
        return bytes;
    }
}
