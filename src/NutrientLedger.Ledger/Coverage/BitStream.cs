namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// Writes whole numbers of so many bits each, lowest bit first. The last byte is filled up with zeros.
/// </summary>
internal sealed class BitWriter
{
    private readonly List<byte> bytes = new(512);
    private uint held;
    private int heldBits;

    /// <summary>Writes the lowest bits of a number, 16 at most.</summary>
    public void Write(int value, int bits)
    {
        held |= (uint)value << heldBits;
        for (heldBits += bits; heldBits >= 8; heldBits -= 8, held >>= 8)
            bytes.Add((byte)held);
    }

    public byte[] ToArray() => heldBits > 0 ? [.. bytes, (byte)held] : [.. bytes];
}

/// <summary>
/// Reads what <see cref="BitWriter"/> wrote. Too few bytes are a <see cref="FormatException"/>.
/// </summary>
internal ref struct BitReader(ReadOnlySpan<byte> bytes)
{
    private readonly ReadOnlySpan<byte> bytes = bytes;
    private int at;
    private uint held;
    private int heldBits;

    /// <summary>Whether nothing but the zeros that fill up the last byte is left.</summary>
    public readonly bool AtEnd => at == bytes.Length && held == 0;

    /// <summary>Reads a number of so many bits, 16 at most.</summary>
    public int Read(int bits)
    {
        for (; heldBits < bits; heldBits += 8)
            held |= (uint)(at < bytes.Length ? bytes[at++] : throw Truncated()) << heldBits;
        var value = held & ((1u << bits) - 1);
        (held, heldBits) = (held >> bits, heldBits - bits);
        return (int)value;
    }

    private static FormatException Truncated() => new("Stored bits end before what they announce.");
}
