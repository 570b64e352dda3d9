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
        var visited = new bool[CoverageTile.Cells];
        var earliest = new long[CoverageTile.Cells];
        var spans = new long[CoverageTile.Cells];
        for (var cell = 0; cell < CoverageTile.Cells; cell++)
        {
            visited[cell] = tile.Earliest[cell] != 0;
            earliest[cell] = tile.Earliest[cell];
            spans[cell] = tile.Latest[cell] - tile.Earliest[cell];
        }
        WriteRuns(to, visited);
        WriteValues(to, visited, earliest);
        WriteValues(to, visited, spans);
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
            if (!visited[cell])
                continue;
            var (first, span) = (earliest[cell], spans[cell]);
            if (first is < 1 or > uint.MaxValue || span < 0 || span > uint.MaxValue - first)
                throw new FormatException("A stored coverage tile holds a visit outside the years 1970 to 2106.");
            tile.Visit(cell, (uint)first, (uint)(first + span));
        }
        return tile;
    }

    private static void WriteRuns(VarIntWriter to, bool[] visited)
    {
        for (int start = 0, end; start < visited.Length; start = end)
        {
            if (start == 0 && visited[0])
                to.Natural(0);
            end = Array.IndexOf(visited, !visited[start], start);
            end = end < 0 ? visited.Length : end;
            to.Natural((ulong)(end - start));
        }
    }

    private static bool[] ReadRuns(ref VarIntReader from)
    {
        var visited = new bool[CoverageTile.Cells];
        for (var (cell, inRun) = (0, false); cell < visited.Length; inRun = !inRun)
        {
            var length = from.Natural();
            if (length > (ulong)(visited.Length - cell) || (length == 0 && cell > 0))
                throw new FormatException("A stored coverage tile has a run of cells that cannot be.");
            visited.AsSpan(cell, (int)length).Fill(inRun);
            cell += (int)length;
        }
        return visited;
    }

    private static void WriteValues(VarIntWriter to, bool[] visited, long[] values)
    {
        ulong asForetold = 0;
        long last = 0;
        for (var cell = 0; cell < visited.Length; cell++)
        {
            if (!visited[cell])
                continue;
            var difference = values[cell] - Foretold(visited, values, cell, last);
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

    private static long[] ReadValues(ref VarIntReader from, bool[] visited)
    {
        var values = new long[visited.Length];
        ulong? asForetold = null;
        long last = 0;
        for (var cell = 0; cell < visited.Length; cell++)
        {
            if (!visited[cell])
                continue;
            asForetold ??= from.Natural();
            values[cell] = unchecked(Foretold(visited, values, cell, last) + (asForetold == 0 ? from.Whole() : 0));
            asForetold = asForetold == 0 ? null : asForetold - 1;
            last = values[cell];
        }
        return asForetold is null or 0
            ? values
            : throw new FormatException("A stored coverage tile counts more cells than were visited.");
    }

    /// <summary>The plane through the cells to the left and in the row before; where one is missing, the nearest known value.</summary>
    private static long Foretold(bool[] visited, long[] values, int cell, long last)
    {
        var left = cell % CoverageTile.Side > 0 && visited[cell - 1];
        var below = cell >= CoverageTile.Side && visited[cell - CoverageTile.Side];
        var corner = left && below && visited[cell - CoverageTile.Side - 1];
        return corner
                ? unchecked(values[cell - 1] + values[cell - CoverageTile.Side] - values[cell - CoverageTile.Side - 1])
            : left ? values[cell - 1]
            : below ? values[cell - CoverageTile.Side]
            : last;
    }
}
