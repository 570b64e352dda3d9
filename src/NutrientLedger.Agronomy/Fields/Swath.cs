namespace NutrientLedger.Agronomy.Fields;

/// <summary>The cells of one row from one column to another, both included.</summary>
public readonly record struct CellRun(int Row, int FirstColumn, int LastColumn);

/// <summary>
/// The ground that one tool covers between two readings: a rectangle from a to b, as wide as the tool. It includes its
/// rear and left edge but not its front and right one, so neighbouring swaths share no cell. A foreach loop gives the
/// cells whose centre it contains, by rows from south to north.
/// </summary>
public ref struct Swath
{
    /// <summary>Far more than rounding takes from the bounds of a swath, far less than a cell.</summary>
    private const double RoundingMetres = 1e-6;

    // In an ordinary swath, rounding moves the bounds by less than a hundredth of this.
    private const double RoundingColumns = 1e-4;
    private const double OrdinaryColumns = 10_000;
    private const double OrdinarySlope = 1e-4;

    private readonly CoverageGrid grid;
    private readonly Segment segment;
    private readonly double ux;
    private readonly double uy;
    private readonly double halfWidthMetres;
    private readonly Slab along;
    private readonly Slab across;
    private readonly double clearFromMetres;
    private readonly double clearToMetres;
    private readonly int lastRow;
    private int row;

    public Swath(CoverageGrid grid, in Segment segment, int widthMillimetres)
    {
        (this.grid, this.segment) = (grid, segment);
        if (segment.Metres == 0)
        {
            lastRow = int.MinValue;
            return;
        }
        (ux, uy) = (segment.EastwardMetres / segment.Metres, segment.NorthwardMetres / segment.Metres);
        halfWidthMetres = widthMillimetres / 2000.0;

        var columnsPerMetre = 1 / (segment.Scale.MetresPerStepEast * grid.StepLongitudeE7);
        var columnOfBegin = (double)segment.From.LongitudeE7 / grid.StepLongitudeE7 - 0.5;
        along = Slab.Of(0, segment.Metres, ux, -uy, columnOfBegin, columnsPerMetre);
        across = Slab.Of(-halfWidthMetres, halfWidthMetres, uy, ux, columnOfBegin, columnsPerMetre);

        var side = halfWidthMetres * Math.Abs(ux);
        var (south, north) = (Math.Min(0, segment.NorthwardMetres) - side, Math.Max(0, segment.NorthwardMetres) + side);
        var rowsPerMetre = 1 / (segment.Scale.MetresPerStepNorth * grid.StepLatitudeE7);
        var rowOfBegin = (double)segment.From.LatitudeE7 / grid.StepLatitudeE7 - 0.5;
        row = (int)Math.Ceiling(rowOfBegin + (south - RoundingMetres) * rowsPerMetre) - 1;
        lastRow = (int)Math.Ceiling(rowOfBegin + (north + RoundingMetres) * rowsPerMetre) - 1;

        // On a swath along the grid, the south and north sides run along rows. Then only rows clear of both sides are
        // certain.
        (clearFromMetres, clearToMetres) =
            !IsOrdinary(ux)
            || !IsOrdinary(uy)
            || columnsPerMetre * (segment.Metres + widthMillimetres / 1000.0) > OrdinaryColumns
                ? (0, 0)
            : ux == 0 || uy == 0 ? (south + RoundingMetres, north - RoundingMetres)
            : (double.NegativeInfinity, double.PositiveInfinity);
    }

    public CellRun Current { get; private set; }

    public readonly Swath GetEnumerator() => this;

    /// <summary>Moves to the next row that has cells in the swath; false after the last.</summary>
    public bool MoveNext()
    {
        while (row < lastRow)
        {
            row++;
            var y = segment.Scale.North(segment.From, grid.Centre(new(row, 0)));
            var west = double.MaxNative(
                along.West + y * along.ColumnsPerMetreNorth,
                across.West + y * across.ColumnsPerMetreNorth
            );
            var east = double.MinNative(
                along.East + y * along.ColumnsPerMetreNorth,
                across.East + y * across.ColumnsPerMetreNorth
            );

            // The cells of one row form a run. Its ends are known up to rounding, so they are certain unless a centre
            // lies that near.
            var (first, end) = (Math.Ceiling(west), Math.Ceiling(east));
            var certain = y > clearFromMetres && y < clearToMetres && IsClear(first - west) && IsClear(end - east);
            Current = certain ? new(row, (int)first, (int)end - 1) : ExactRun(y, (int)first, (int)end - 1);
            if (Current.FirstColumn <= Current.LastColumn)
                return true;
        }
        return false;
    }

    /// <summary>
    /// The run of the row y metres north of a, by the exact test. The cells just outside are tested too.
    /// </summary>
    private readonly CellRun ExactRun(double y, int first, int last)
    {
        // In metres north (y) and east (x) of a, along the unit vector (ux, uy): a centre lies s = x·ux + y·uy ahead
        // and t = x·uy − y·ux to the right.
        var (ahead, right) = (y * uy, y * ux);
        first -= Holds(first - 1, ahead, right) ? 1 : 0;
        last += Holds(last + 1, ahead, right) ? 1 : 0;
        while (first <= last && !Holds(first, ahead, right))
            first++;
        while (first <= last && !Holds(last, ahead, right))
            last--;
        return new(row, first, last);
    }

    private readonly bool Holds(int column, double ahead, double right)
    {
        var x = segment.Scale.East(segment.From, grid.Centre(new(row, column)));
        var along = x * ux + ahead;
        var across = x * uy - right;
        return along >= 0 && along < segment.Metres && across >= -halfWidthMetres && across < halfWidthMetres;
    }

    private static bool IsOrdinary(double slope) => slope == 0 || Math.Abs(slope) >= OrdinarySlope;

    private static bool IsClear(double toNextCentre) => toNextCentre is > RoundingColumns and < 1 - RoundingColumns;

    /// <summary>
    /// Two parallel sides: their columns in the row through a, and how much these grow for each metre north of it.
    /// </summary>
    private readonly record struct Slab(double West, double East, double ColumnsPerMetreNorth)
    {
        /// <summary>The slab where low ≤ x·slope − y·lean ≤ high, with x and y in metres east and north of a.</summary>
        public static Slab Of(double low, double high, double slope, double lean, double begin, double columnsPerMetre)
        {
            if (Math.Abs(slope) < 1e-9)
                return new(double.NegativeInfinity, double.PositiveInfinity, 0);
            var columns = columnsPerMetre / slope;
            var (first, second) = (begin + low * columns, begin + high * columns);
            return new(Math.Min(first, second), Math.Max(first, second), lean * columns);
        }
    }
}
