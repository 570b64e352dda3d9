using System.Numerics;
using NutrientLedger.Journal;

namespace NutrientLedger.Ledger;

/// <summary>
/// The stored form of a coverage tile, version 1: which cells were visited, as lengths of runs (not visited, visited, not
/// visited …) row by row; then for the visited cells the earliest times and after them the spans to the latest, each as its
/// difference to what its neighbours foretell. A machine drives evenly, so most differences are 0 and only counted.
/// </summary>
internal static class CoverageTileForm
{
    private const byte Version = 1;

    public static byte[] Encode(CoverageTile tile)
    {
        var to = new VarIntWriter();
        to.Byte(Version);
        Span<uint> spans = stackalloc uint[CoverageTile.Cells];
        for (var cell = 0; cell < CoverageTile.Cells; cell++)
            spans[cell] = tile.Latest[cell] - tile.Earliest[cell];
        WriteRuns(to, tile.Earliest);
        WriteValues(to, tile.Earliest, tile.Earliest);
        WriteValues(to, tile.Earliest, spans);
        return to.ToArray();
    }

    public static CoverageTile Decode(ReadOnlySpan<byte> stored)
    {
        var from = new VarIntReader(stored);
        if (from.Byte() is var version and not Version)
            throw new FormatException(
                $"A stored coverage tile has version {version}; this hub reads version {Version}."
            );
        var visited = ReadRuns(ref from);
        var earliest = ReadValues(ref from, visited);
        var spans = ReadValues(ref from, visited);
        if (!from.AtEnd)
            throw new FormatException("A stored coverage tile is followed by bytes that do not belong to it.");
        var tile = new CoverageTile();
        for (var cell = 0; cell < CoverageTile.Cells; cell++)
        {
            if (visited[cell] == 0)
                continue;
            var (first, span) = (earliest[cell], spans[cell]);
            if (first is < 1 or > uint.MaxValue || span < 0 || span > uint.MaxValue - first)
                throw new FormatException("A stored coverage tile holds a visit outside the years 1970 to 2106.");
            tile.Visit(cell, (uint)first, (uint)(first + span));
        }
        return tile;
    }

    // Which cells were visited is told by a number that is not 0: here the earliest time.
    private static void WriteRuns(VarIntWriter to, ReadOnlySpan<uint> visited)
    {
        if (visited[0] != 0)
            to.Natural(0);
        while (visited.Length > 0)
        {
            var run = visited[0] != 0 ? visited.IndexOf(0u) : visited.IndexOfAnyExcept(0u);
            run = run < 0 ? visited.Length : run;
            to.Natural((ulong)run);
            visited = visited[run..];
        }
    }

    private static uint[] ReadRuns(ref VarIntReader from)
    {
        var visited = new uint[CoverageTile.Cells];
        for (var (cell, inRun) = (0, false); cell < visited.Length; inRun = !inRun)
        {
            var length = from.Natural();
            if (length > (ulong)(visited.Length - cell) || (length == 0 && cell > 0))
                throw new FormatException("A stored coverage tile has a run of cells that cannot be.");
            visited.AsSpan(cell, (int)length).Fill(inRun ? 1u : 0);
            cell += (int)length;
        }
        return visited;
    }

    private static void WriteValues(VarIntWriter to, ReadOnlySpan<uint> visited, ReadOnlySpan<uint> values)
    {
        ulong asForetold = 0;
        long last = 0;
        for (var cell = 0; cell < visited.Length; cell++)
        {
            if (visited[cell] == 0)
                continue;
            var difference = values[cell] - Foretold<uint>(visited, values, cell, last);
            last = values[cell];
            if (difference == 0)
            {
                asForetold++;
                continue;
            }
            to.Natural(asForetold);
            to.Whole(difference);
            asForetold = 0;
        }
        if (asForetold > 0)
            to.Natural(asForetold);
    }

    private static long[] ReadValues(ref VarIntReader from, uint[] visited)
    {
        var values = new long[visited.Length];
        ulong? asForetold = null;
        long last = 0;
        for (var cell = 0; cell < visited.Length; cell++)
        {
            if (visited[cell] == 0)
                continue;
            asForetold ??= from.Natural();
            values[cell] = unchecked(
                Foretold<long>(visited, values, cell, last) + (asForetold == 0 ? from.Whole() : 0)
            );
            asForetold = asForetold == 0 ? null : asForetold - 1;
            last = values[cell];
        }
        return asForetold is null or 0
            ? values
            : throw new FormatException("A stored coverage tile counts more cells than were visited.");
    }

    /// <summary>The plane through the cells to the left and in the row before; where one is missing, the nearest known value.</summary>
    private static long Foretold<T>(ReadOnlySpan<uint> visited, ReadOnlySpan<T> values, int cell, long last)
        where T : struct, IBinaryInteger<T>
    {
        var left = cell % CoverageTile.Side > 0 && visited[cell - 1] != 0;
        var below = cell >= CoverageTile.Side && visited[cell - CoverageTile.Side] != 0;
        var corner = left && below && visited[cell - CoverageTile.Side - 1] != 0;
        return corner
                ? unchecked(Value(values, 1) + Value(values, CoverageTile.Side) - Value(values, CoverageTile.Side + 1))
            : left ? Value(values, 1)
            : below ? Value(values, CoverageTile.Side)
            : last;

        long Value(ReadOnlySpan<T> of, int before) => long.CreateTruncating(of[cell - before]);
    }
}
