namespace NutrientLedger.Journal.Codecs;

/// <summary>
/// Writes whole numbers as LEB128: seven bits a byte, lowest first. The top bit says that more bytes follow.
/// </summary>
internal sealed class Leb128Writer
{
    private readonly List<byte> bytes = new(2048);

    public void WriteByte(byte value) => bytes.Add(value);

    public void WriteBytes(ReadOnlySpan<byte> value) => bytes.AddRange(value);

    public void WriteUnsigned(ulong value)
    {
        while (value >= 0x80)
        {
            bytes.Add((byte)(value | 0x80));
            value >>= 7;
        }
        bytes.Add((byte)value);
    }

    /// <summary>
    /// Writes a signed number in zigzag form, small ones of either sign in few bytes: 0, −1, 1, −2 become 0, 1, 2, 3.
    /// </summary>
    public void WriteZigZag(long value) => WriteUnsigned((ulong)((value << 1) ^ (value >> 63)));

    public byte[] ToArray() => [.. bytes];
}

/// <summary>
/// Reads what <see cref="Leb128Writer"/> wrote. A cut or overlong number is a <see cref="FormatException"/>.
/// </summary>
internal ref struct Leb128Reader(ReadOnlySpan<byte> bytes)
{
    private readonly ReadOnlySpan<byte> bytes = bytes;
    private int at;

    public readonly bool AtEnd => at == bytes.Length;

    public byte ReadByte() => at < bytes.Length ? bytes[at++] : throw Truncated();

    public ReadOnlySpan<byte> ReadBytes(ulong count)
    {
        if (count > (ulong)(bytes.Length - at))
            throw Truncated();
        at += (int)count;
        return bytes.Slice(at - (int)count, (int)count);
    }

    public ulong ReadUnsigned()
    {
        // Most numbers are differences of a single byte.
        if ((uint)at >= (uint)bytes.Length || bytes[at] >= 0x80)
            return ReadSeveralBytes();
        return bytes[at++];
    }

    private ulong ReadSeveralBytes()
    {
        ulong value = 0;
        for (var shift = 0; shift < 64; shift += 7)
        {
            var next = ReadByte();
            value |= (ulong)(next & 0x7F) << shift;
            if (next < 0x80)
                return value;
        }
        throw new FormatException("A stored number is longer than ten bytes.");
    }

    public long ReadZigZag()
    {
        var zigzag = ReadUnsigned();
        return (long)(zigzag >> 1) ^ -(long)(zigzag & 1);
    }

    private static FormatException Truncated() => new("Stored bytes end before what they announce.");
}
