using System.Buffers;
using System.IO.Pipelines;
using MQTTnet.Exceptions;

namespace NutrientLedger.Ingestion.Broker;

/// <summary>
/// Reads a line on behalf of the broker and ends it in two cases that the broker does not see for itself: a packet whose
/// header announces more bytes than allowed (the broker would gather them all), and a line that was closed inside a packet
/// (the broker would ask for the rest over and over without waiting, with a core of its own).
/// </summary>
internal sealed class PacketGuard(PipeReader pipe, int packetBytesMax, Action<string> ended) : PipeReader
{
    // MQTT 5 section 1.5.5: a packet's length takes one to four bytes behind the first one.
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

    /// <summary>The broker takes whole packets only, so what is read always begins with a packet.</summary>
    private void Check(ref readonly ReadResult read)
    {
        var waiting = read.Buffer;
        if (waiting.IsEmpty)
            return;
        var length = PacketLength(waiting, out var broken);
        var complaint =
            broken ? "a packet has a length that is not one"
            : length > packetBytesMax ? $"a packet announces {length} bytes; at most {packetBytesMax} are taken"
            : read.IsCompleted && (length is null || waiting.Length < length) ? "it was closed inside a packet"
            : null;
        if (complaint is null)
            return;
        pipe.AdvanceTo(waiting.Start);
        ended(complaint);
        throw new MqttCommunicationException($"The connection was closed: {complaint}.");
    }

    /// <summary>The bytes of the first packet with its header; nothing while the header is not whole.</summary>
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

/// <summary>A line with its reading side guarded.</summary>
internal sealed class GuardedConnection(IDuplexPipe pipe, PacketGuard input) : IDuplexPipe
{
    public PipeReader Input => input;

    public PipeWriter Output => pipe.Output;
}
