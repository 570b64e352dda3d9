namespace NutrientLedger.Journal;

/// <summary>Writes whole numbers in as few bytes as they need: seven bits a byte, lowest first, the top bit saying that more follows.</summary>
public sealed class VarIntWriter
{
    private readonly List<byte> bytes = new(2048);

    public void Byte(byte value) => bytes.Add(value);

    public void Bytes(ReadOnlySpan<byte> value) => bytes.AddRange(value);

    public void Natural(ulong value)
    {
        while (value >= 0x80)
        {
            bytes.Add((byte)(value | 0x80));
            value >>= 7;
        }
        bytes.Add((byte)value);
    }

    /// <summary>Signed numbers are folded so that small ones of either sign stay small: 0, −1, 1, −2 become 0, 1, 2, 3.</summary>
    public void Whole(long value) => Natural((ulong)((value << 1) ^ (value >> 63)));

    public byte[] ToArray() => [.. bytes];
}

/// <summary>Reads what <see cref="VarIntWriter"/> wrote; a cut or overlong number is a <see cref="FormatException"/>.</summary>
public ref struct VarIntReader(ReadOnlySpan<byte> bytes)
{
    private readonly ReadOnlySpan<byte> bytes = bytes;
    private int at;

    public readonly bool AtEnd => at == bytes.Length;

    public byte Byte() => at < bytes.Length ? bytes[at++] : throw Cut();

    public ReadOnlySpan<byte> Bytes(ulong count)
    {
        if (count > (ulong)(bytes.Length - at))
            throw Cut();
        at += (int)count;
        return bytes.Slice(at - (int)count, (int)count);
    }

    public ulong Natural()
    {
        // Most numbers are differences of a single byte.
        if ((uint)at >= (uint)bytes.Length || bytes[at] >= 0x80)
            return OfSeveralBytes();
        return bytes[at++];
    }

    private ulong OfSeveralBytes()
    {
        ulong value = 0;
        for (var shift = 0; shift < 64; shift += 7)
        {
            var next = Byte();
            value |= (ulong)(next & 0x7F) << shift;
            if (next < 0x80)
                return value;
        }
        throw new FormatException("A stored number is longer than ten bytes.");
    }

    public long Whole()
    {
        var folded = Natural();
        return (long)(folded >> 1) ^ -(long)(folded & 1);
    }

    private static FormatException Cut() => new("Stored bytes end before what they announce.");
}
