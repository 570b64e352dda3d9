using System.Buffers;
using System.Runtime.InteropServices;
using System.Text;

namespace NutrientLedger.Journal.Codecs;

/// <summary>
/// The stored form of a batch, version 1. This room's README describes it byte by byte, with a test vector. It holds
/// whole numbers by column, each as the difference to the one before. A steady machine costs a byte or two a value.
/// </summary>
public static class BatchCodec
{
    private const byte Version = 1;
    private const byte HasBefore = 1;
    private const byte HasAfter = 2;
    private const byte ColumnAbsent = 0;
    private const byte ColumnFull = 1;
    private const byte ColumnSparse = 2;

    /// <summary>Encodes a batch as its stored bytes.</summary>
    public static byte[] Encode<TReading>(ReadingBatch<TReading> batch)
        where TReading : struct, IReading<TReading>
    {
        var to = new Leb128Writer();
        to.WriteByte(Version);
        to.WriteByte((byte)TReading.Stream);
        var equipment = Encoding.UTF8.GetBytes(batch.EquipmentId);
        to.WriteUnsigned((ulong)equipment.Length);
        to.WriteBytes(equipment);
        to.WriteZigZag(batch.Boot);
        to.WriteZigZag(batch.FirstSeq);
        to.WriteUnsigned((ulong)batch.Readings.Length);
        to.WriteByte((byte)((batch.Before is null ? 0 : HasBefore) | (batch.After is null ? 0 : HasAfter)));
        TReading[] rows = [.. batch.WithNeighbours()];
        for (var column = 0; column < TReading.ColumnCount; column++)
            WriteColumn(to, rows, column);
        return to.ToArray();
    }

    /// <summary>The UTF-8 bytes of the equipment's id in stored bytes, without reading the rest.</summary>
    public static ReadOnlySpan<byte> EquipmentOf(ReadOnlySpan<byte> stored)
    {
        var from = new Leb128Reader(stored);
        _ = from.ReadBytes(2);
        return from.ReadBytes(from.ReadUnsigned());
    }

    /// <summary>
    /// Decodes a batch from its stored bytes. A <see cref="FormatException"/> says what is wrong with damaged ones.
    /// </summary>
    public static ReadingBatch<TReading> Decode<TReading>(ReadOnlySpan<byte> stored)
        where TReading : struct, IReading<TReading>
    {
        var from = new Leb128Reader(stored);
        if (from.ReadByte() is var version and not Version)
            throw new FormatException($"A stored batch has version {version}; this hub reads version {Version}.");
        if (from.ReadByte() is var stream && stream != (byte)TReading.Stream)
            throw new FormatException($"A stored batch of stream {stream} was read as {TReading.Stream}.");
        var equipment = Encoding.UTF8.GetString(from.ReadBytes(from.ReadUnsigned()));
        var boot = from.ReadZigZag();
        var firstSeq = from.ReadZigZag();
        var announced = from.ReadUnsigned();
        if (announced is < 1 or > ReadingBatch<TReading>.ReadingsMax)
            throw new FormatException($"A stored batch says it holds {announced} readings.");
        var count = (int)announced;
        var neighbours = from.ReadByte();
        if (neighbours > (HasBefore | HasAfter))
            throw new FormatException($"A stored batch has an unknown mark {neighbours} for its neighbours.");
        var hasBefore = (neighbours & HasBefore) != 0;
        var hasAfter = (neighbours & HasAfter) != 0;
        var rowCount = count + (hasBefore ? 1 : 0) + (hasAfter ? 1 : 0);
        var rented = ArrayPool<long?>.Shared.Rent(rowCount * TReading.ColumnCount);
        try
        {
            var cells = rented.AsSpan(0, rowCount * TReading.ColumnCount);
            for (var column = 0; column < TReading.ColumnCount; column++)
                ReadColumn(ref from, cells, column, TReading.ColumnCount);
            if (!from.AtEnd)
                throw new FormatException("A stored batch is followed by bytes that do not belong to it.");

            var readings = new TReading[count];
            for (var i = 0; i < count; i++)
                readings[i] = Reading<TReading>(cells, i + (hasBefore ? 1 : 0));
            return new(
                equipment,
                boot,
                firstSeq,
                ImmutableCollectionsMarshal.AsImmutableArray(readings),
                hasBefore ? Reading<TReading>(cells, 0) : null,
                hasAfter ? Reading<TReading>(cells, rowCount - 1) : null
            );
        }
        catch (OverflowException)
        {
            throw new FormatException("A stored batch holds a value too large for its column.");
        }
        finally
        {
            ArrayPool<long?>.Shared.Return(rented);
        }
    }

    private static void WriteColumn<TReading>(Leb128Writer to, TReading[] rows, int column)
        where TReading : struct, IReading<TReading>
    {
        var present = rows.Count(row => row.Column(column) is not null);
        to.WriteByte(
            present == 0 ? ColumnAbsent
            : present == rows.Length ? ColumnFull
            : ColumnSparse
        );
        if (present > 0 && present < rows.Length)
        {
            var bits = new byte[(rows.Length + 7) / 8];
            for (var row = 0; row < rows.Length; row++)
                if (rows[row].Column(column) is not null)
                    bits[row / 8] |= (byte)(1 << (row % 8));
            to.WriteBytes(bits);
        }
        long last = 0;
        foreach (var row in rows)
        {
            if (row.Column(column) is not { } value)
                continue;
            to.WriteZigZag(unchecked(value - last));
            last = value;
        }
    }

    private static TReading Reading<TReading>(ReadOnlySpan<long?> cells, int row)
        where TReading : struct, IReading<TReading>
    {
        var columns = cells.Slice(row * TReading.ColumnCount, TReading.ColumnCount);
        return columns[0] is not null
            ? TReading.FromColumns(columns)
            : throw new FormatException("A stored batch holds a reading without a time.");
    }

    private static void ReadColumn(ref Leb128Reader from, Span<long?> cells, int column, int columnCount)
    {
        var kind = from.ReadByte();
        if (kind > ColumnSparse)
            throw new FormatException($"A stored batch has a column of unknown kind {kind}.");
        var rowCount = cells.Length / columnCount;
        var bits = kind == ColumnSparse ? from.ReadBytes((ulong)(rowCount + 7) / 8) : default;
        // A local copy, which the processor can keep in registers.
        var reader = from;
        long last = 0;
        for (var row = 0; row < rowCount; row++)
        {
            var isThere = kind == ColumnFull || (kind == ColumnSparse && (bits[row / 8] & (1 << (row % 8))) != 0);
            cells[(row * columnCount) + column] = isThere ? last = unchecked(last + reader.ReadZigZag()) : null;
        }
        from = reader;
    }
}
