using System.Buffers;
using System.IO.Pipelines;
using MQTTnet.Exceptions;

namespace NutrientLedger.Ingestion.Broker;

/// <summary>
/// Reads a connection for the broker and closes it in two cases that the broker does not handle. In the first, a
/// packet's header announces more bytes than allowed, and the broker would collect them all. In the second, the
/// connection ended inside a packet, and the broker would ask for the rest in a busy loop.
/// </summary>
internal sealed class PacketGuard(PipeReader pipe, int packetBytesMax, Action<string> ended) : PipeReader
{
    // MQTT 5 section 1.5.5: the length of a packet takes one to four bytes after the first one.
    private const int LengthBytesMax = 4;

    public override async ValueTask<ReadResult> ReadAsync(CancellationToken cancellationToken = default)
    {
        var read = await pipe.ReadAsync(cancellationToken);
        Check(in read);
        return read;
    }

    public override bool TryRead(out ReadResult result)
    {
        if (!pipe.TryRead(out result))
            return false;
        Check(in result);
        return true;
    }

    public override void AdvanceTo(SequencePosition consumed) => pipe.AdvanceTo(consumed);

    public override void AdvanceTo(SequencePosition consumed, SequencePosition examined) =>
        pipe.AdvanceTo(consumed, examined);

    public override void CancelPendingRead() => pipe.CancelPendingRead();

    public override void Complete(Exception? exception = null) => pipe.Complete(exception);

    /// <summary>
    /// Checks the first packet. The broker takes whole packets only, so the buffer always begins with a packet.
    /// </summary>
    private void Check(ref readonly ReadResult read)
    {
        var waiting = read.Buffer;
        if (waiting.IsEmpty)
            return;
        var length = PacketLength(waiting, out var broken);
        var fault =
            broken ? "a packet has an invalid length"
            : length > packetBytesMax ? $"a packet announces {length} bytes; at most {packetBytesMax} are allowed"
            : read.IsCompleted && (length is null || waiting.Length < length) ? "it was closed inside a packet"
            : null;
        if (fault is null)
            return;
        pipe.AdvanceTo(waiting.Start);
        ended(fault);
        throw new MqttCommunicationException($"The connection was closed: {fault}.");
    }

    /// <summary>The bytes of the first packet with its header; null while the header is incomplete.</summary>
    private static long? PacketLength(in ReadOnlySequence<byte> waiting, out bool broken)
    {
        broken = false;
        var header = new SequenceReader<byte>(waiting);
        header.Advance(1);
        long rest = 0;
        for (var place = 0; place < LengthBytesMax; place++)
        {
            if (!header.TryRead(out var part))
                return null;
            rest |= (long)(part & 0x7F) << (7 * place);
            if ((part & 0x80) == 0)
                return header.Consumed + rest;
        }
        broken = true;
        return null;
    }
}

/// <summary>A connection whose reading side is guarded.</summary>
internal sealed class GuardedConnection(IDuplexPipe pipe, PacketGuard input) : IDuplexPipe
{
    public PipeReader Input => input;

    public PipeWriter Output => pipe.Output;
}
