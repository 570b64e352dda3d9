using System.Buffers;
using System.Runtime.InteropServices;
using System.Text;

namespace NutrientLedger.Journal;

/// <summary>
/// The stored form of a pack, version 1; DEVELOPERS.md describes it byte by byte, with a test vector. Whole numbers by
/// column, each the difference to the one before, so that a steady machine costs a byte or two a value.
/// </summary>
public static class PackForm
{
    private const byte Version = 1;
    private const byte HasBefore = 1;
    private const byte HasAfter = 2;
    private const byte ColumnAbsent = 0;
    private const byte ColumnFull = 1;
    private const byte ColumnSparse = 2;

    /// <summary>Turns a pack into its stored bytes.</summary>
    public static byte[] Encode<TReading>(Pack<TReading> pack)
        where TReading : struct, IReading<TReading>
    {
        var to = new VarIntWriter();
        to.Byte(Version);
        to.Byte((byte)TReading.Stream);
        var equipment = Encoding.UTF8.GetBytes(pack.EquipmentId);
        to.Natural((ulong)equipment.Length);
        to.Bytes(equipment);
        to.Whole(pack.Boot);
        to.Whole(pack.FirstSeq);
        to.Natural((ulong)pack.Readings.Length);
        to.Byte((byte)((pack.Before is null ? 0 : HasBefore) | (pack.After is null ? 0 : HasAfter)));
        TReading[] rows = [.. pack.WithNeighbours()];
        for (var column = 0; column < TReading.ColumnCount; column++)
            WriteColumn(to, rows, column);
        return to.ToArray();
    }

    /// <summary>The UTF-8 bytes of the equipment's id in stored bytes, without reading the rest.</summary>
    public static ReadOnlySpan<byte> EquipmentOf(ReadOnlySpan<byte> stored)
    {
        var from = new VarIntReader(stored);
        _ = from.Bytes(2);
        return from.Bytes(from.Natural());
    }

    /// <summary>Turns stored bytes into the pack; a <see cref="FormatException"/> says what is wrong with damaged ones.</summary>
    public static Pack<TReading> Decode<TReading>(ReadOnlySpan<byte> stored)
        where TReading : struct, IReading<TReading>
    {
        var from = new VarIntReader(stored);
        if (from.Byte() is var version and not Version)
            throw new FormatException($"A stored pack has version {version}; this hub reads version {Version}.");
        if (from.Byte() is var stream && stream != (byte)TReading.Stream)
            throw new FormatException($"A stored pack of stream {stream} was read as {TReading.Stream}.");
        var equipment = Encoding.UTF8.GetString(from.Bytes(from.Natural()));
        var boot = from.Whole();
        var firstSeq = from.Whole();
        var announced = from.Natural();
        if (announced is < 1 or > Pack<TReading>.ReadingsMax)
            throw new FormatException($"A stored pack says it holds {announced} readings.");
        var count = (int)announced;
        var neighbours = from.Byte();
        if (neighbours > (HasBefore | HasAfter))
            throw new FormatException($"A stored pack has an unknown mark {neighbours} for its neighbours.");
        var hasBefore = (neighbours & HasBefore) != 0;
        var hasAfter = (neighbours & HasAfter) != 0;
        var rowCount = count + (hasBefore ? 1 : 0) + (hasAfter ? 1 : 0);
        var borrowed = ArrayPool<long?>.Shared.Rent(rowCount * TReading.ColumnCount);
        try
        {
            var cells = borrowed.AsSpan(0, rowCount * TReading.ColumnCount);
            for (var column = 0; column < TReading.ColumnCount; column++)
                ReadColumn(ref from, cells, column, TReading.ColumnCount);
            if (!from.AtEnd)
                throw new FormatException("A stored pack is followed by bytes that do not belong to it.");

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
            throw new FormatException("A stored pack holds a value too large for its column.");
        }
        finally
        {
            ArrayPool<long?>.Shared.Return(borrowed);
        }
    }

    private static void WriteColumn<TReading>(VarIntWriter to, TReading[] rows, int column)
        where TReading : struct, IReading<TReading>
    {
        var present = rows.Count(row => row.Column(column) is not null);
        to.Byte(
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
            to.Bytes(bits);
        }
        long last = 0;
        foreach (var row in rows)
        {
            if (row.Column(column) is not { } value)
                continue;
            to.Whole(unchecked(value - last));
            last = value;
        }
    }

    private static TReading Reading<TReading>(ReadOnlySpan<long?> cells, int row)
        where TReading : struct, IReading<TReading>
    {
        var columns = cells.Slice(row * TReading.ColumnCount, TReading.ColumnCount);
        return columns[0] is not null
            ? TReading.FromColumns(columns)
            : throw new FormatException("A stored pack holds a reading without a time.");
    }

    private static void ReadColumn(ref VarIntReader from, Span<long?> cells, int column, int columnCount)
    {
        var kind = from.Byte();
        if (kind > ColumnSparse)
            throw new FormatException($"A stored pack has a column of unknown kind {kind}.");
        var rowCount = cells.Length / columnCount;
        var bits = kind == ColumnSparse ? from.Bytes((ulong)(rowCount + 7) / 8) : default;
        // A reader of its own, which the processor can keep at hand.
        var reader = from;
        long last = 0;
        for (var row = 0; row < rowCount; row++)
        {
            var isThere = kind == ColumnFull || (kind == ColumnSparse && (bits[row / 8] & (1 << (row % 8))) != 0);
            cells[(row * columnCount) + column] = isThere ? last = unchecked(last + reader.Whole()) : null;
        }
        from = reader;
    }
}
