namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// The ground one tool passes over between two readings: a rectangle from a to b, as wide as the tool, holding its rear and left
/// edge but not its front and right one, so that neighbouring strips share no cell.
/// </summary>
public static class Strip
{
    /// <summary>The lattice cells whose centre lies in the strip, by rows from south to north and columns from west to east.</summary>
    public static IEnumerable<LatticeCell> Cells(CoverageLattice lattice, GeoPoint a, GeoPoint b, int widthMillimetres)
    {
        var scale = GroundScale.Between(a, b);
        var (eastward, northward) = (scale.East(a, b), scale.North(a, b));
        var length = Math.Sqrt(eastward * eastward + northward * northward);
        if (length == 0)
            yield break;

        var ground = new Rectangle(eastward / length, northward / length, length, widthMillimetres / 2000.0);
        var (south, north) = ground.Reach(northward);
        var lastRow = Index(a.LatitudeE7 + north / scale.MetresPerStepNorth, lattice.StepLatitudeE7);
        var row = Index(a.LatitudeE7 + south / scale.MetresPerStepNorth, lattice.StepLatitudeE7);
        for (; row <= lastRow; row++)
        {
            var y = scale.North(a, lattice.Centre(new(row, 0)));
            var (west, east) = ground.Crossed(y);
            if (west > east)
                continue;

            // The cells of one row form a run. It is sought from one cell further out on both sides, so that the exact
            // test decides whatever the bounds lost in rounding.
            var column = Index(a.LongitudeE7 + west / scale.MetresPerStepEast, lattice.StepLongitudeE7) - 1;
            var last = Index(a.LongitudeE7 + east / scale.MetresPerStepEast, lattice.StepLongitudeE7) + 1;
            while (column <= last && !ground.Holds(scale.East(a, lattice.Centre(new(row, column))), y))
                column++;
            while (column <= last && !ground.Holds(scale.East(a, lattice.Centre(new(row, last))), y))
                last--;
            for (; column <= last; column++)
                yield return new(row, column);
        }
    }

    private static int Index(double positionE7, int stepE7) => (int)Math.Floor(positionE7 / stepE7);

    /// <summary>A rectangle in metres east (x) and north (y) of a, lying along the unit vector (ux, uy).</summary>
    private readonly record struct Rectangle(double Ux, double Uy, double Length, double HalfWidth)
    {
        public bool Holds(double x, double y)
        {
            var along = x * Ux + y * Uy;
            var across = x * Uy - y * Ux;
            return along >= 0 && along < Length && across >= -HalfWidth && across < HalfWidth;
        }

        /// <summary>The lowest and highest y, given that of b.</summary>
        public (double South, double North) Reach(double northward)
        {
            var side = HalfWidth * Math.Abs(Ux);
            return (Math.Min(0, northward) - side, Math.Max(0, northward) + side);
        }

        /// <summary>The lowest and highest x at a given y; the lowest above the highest if there is none.</summary>
        public (double West, double East) Crossed(double y)
        {
            var along = Between(0, Length, y * Uy, Ux);
            var across = Between(-HalfWidth, HalfWidth, -y * Ux, Uy);
            return (Math.Max(along.West, across.West), Math.Min(along.East, across.East));
        }

        // The x for which low ≤ offset + x·slope ≤ high.
        private static (double West, double East) Between(double low, double high, double offset, double slope)
        {
            if (Math.Abs(slope) < 1e-9)
                return (double.NegativeInfinity, double.PositiveInfinity);
            var (first, second) = ((low - offset) / slope, (high - offset) / slope);
            return first < second ? (first, second) : (second, first);
        }
    }
}
