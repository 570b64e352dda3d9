namespace NutrientLedger.Agronomy.Fields;

/// <summary>A row's cells from one column to another, both included.</summary>
public readonly record struct CellRun(int Row, int FirstColumn, int LastColumn);

/// <summary>
/// The ground one tool passes over between two readings: a rectangle from a to b, as wide as the tool, holding its rear and left
/// edge but not its front and right one, so that neighbouring strips share no cell. Gone through with foreach, it gives the
/// lattice cells whose centre it holds, by rows from south to north.
/// </summary>
public ref struct Strip
{
    /// <summary>Far more than the bounds of a strip lose in rounding, far less than a cell.</summary>
    private const double RoundingMetres = 1e-6;

    private readonly CoverageLattice lattice;
    private readonly Leg leg;
    private readonly double ux;
    private readonly double uy;
    private readonly double halfWidthMetres;
    private readonly double columnsPerMetre;
    private readonly double columnOfBegin;
    private readonly int lastRow;
    private int row;

    public Strip(CoverageLattice lattice, in Leg leg, int widthMillimetres)
    {
        (this.lattice, this.leg) = (lattice, leg);
        if (leg.Metres == 0)
        {
            lastRow = int.MinValue;
            return;
        }
        (ux, uy) = (leg.EastwardMetres / leg.Metres, leg.NorthwardMetres / leg.Metres);
        halfWidthMetres = widthMillimetres / 2000.0;
        columnsPerMetre = 1 / (leg.Scale.MetresPerStepEast * lattice.StepLongitudeE7);
        columnOfBegin = (double)leg.From.LongitudeE7 / lattice.StepLongitudeE7;

        var side = halfWidthMetres * Math.Abs(ux);
        row = Row(Math.Min(0, leg.NorthwardMetres) - side - RoundingMetres) - 1;
        lastRow = Row(Math.Max(0, leg.NorthwardMetres) + side + RoundingMetres) - 1;
    }

    public CellRun Current { get; private set; }

    public readonly Strip GetEnumerator() => this;

    /// <summary>Goes on to the next row that has cells in the strip; false after the last.</summary>
    public bool MoveNext()
    {
        while (row < lastRow)
        {
            row++;
            // In metres north (y) and east (x) of a, along the unit vector (ux, uy): a centre lies s = x·ux + y·uy ahead and
            // t = x·uy − y·ux to the right.
            var y = leg.Scale.North(leg.From, lattice.Centre(new(row, 0)));
            var (ahead, right) = (y * uy, y * ux);
            var (west, east) = (double.NegativeInfinity, double.PositiveInfinity);
            Narrow(ref west, ref east, 0, leg.Metres, ahead, ux);
            Narrow(ref west, ref east, -halfWidthMetres, halfWidthMetres, -right, uy);
            if (west > east + RoundingMetres)
                continue;

            // The cells of one row form a run. Its ends are found up to rounding, so that the exact test, also of the cells just
            // outside, decides.
            var first = Column(west);
            var last = Column(east) - 1;
            first -= Holds(first - 1, ahead, right) ? 1 : 0;
            last += Holds(last + 1, ahead, right) ? 1 : 0;
            while (first <= last && !Holds(first, ahead, right))
                first++;
            while (first <= last && !Holds(last, ahead, right))
                last--;
            if (first > last)
                continue;
            Current = new(row, first, last);
            return true;
        }
        return false;
    }

    private readonly bool Holds(int column, double ahead, double right)
    {
        var x = leg.Scale.East(leg.From, lattice.Centre(new(row, column)));
        var along = x * ux + ahead;
        var across = x * uy - right;
        return along >= 0 && along < leg.Metres && across >= -halfWidthMetres && across < halfWidthMetres;
    }

    /// <summary>The first row whose centres lie at or north of so many metres north of a.</summary>
    private readonly int Row(double metresNorth) =>
        (int)
            Math.Ceiling(
                (leg.From.LatitudeE7 + metresNorth / leg.Scale.MetresPerStepNorth) / lattice.StepLatitudeE7 - 0.5
            );

    /// <summary>The first column whose centres lie at or east of so many metres east of a.</summary>
    private readonly int Column(double metresEast) =>
        (int)Math.Ceiling(columnOfBegin + metresEast * columnsPerMetre - 0.5);

    /// <summary>Narrows the x from west to east to those for which low ≤ offset + x·slope ≤ high.</summary>
    private static void Narrow(ref double west, ref double east, double low, double high, double offset, double slope)
    {
        if (Math.Abs(slope) < 1e-9)
            return;
        var (first, second) = ((low - offset) / slope, (high - offset) / slope);
        if (first > second)
            (first, second) = (second, first);
        west = first > west ? first : west;
        east = second < east ? second : east;
    }
}
