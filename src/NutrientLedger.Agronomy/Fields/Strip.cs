namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// The ground one tool passes over between two readings: a rectangle from a to b, as wide as the tool, holding its rear and left
/// edge but not its front and right one, so that neighbouring strips share no cell.
/// </summary>
public static class Strip
{
    /// <summary>The lattice cells whose centre lies in the strip, by rows from south to north.</summary>
    public static IEnumerable<LatticeCell> Cells(CoverageLattice lattice, GeoPoint a, GeoPoint b, int widthMillimetres)
    {
        var scale = GroundScale.Between(a, b);
        var eastward = scale.East(a, b);
        var northward = scale.North(a, b);
        var length = Math.Sqrt(eastward * eastward + northward * northward);
        if (length == 0)
            yield break;

        var ux = eastward / length;
        var uy = northward / length;
        var halfWidth = widthMillimetres / 2000.0;

        var reachNorth = halfWidth * Math.Abs(ux);
        var south = Math.Min(0, northward) - reachNorth;
        var north = Math.Max(0, northward) + reachNorth;
        var lastRow = Index(a.LatitudeE7 + north / scale.MetresPerStepNorth, lattice.StepLatitudeE7);
        for (
            var row = Index(a.LatitudeE7 + south / scale.MetresPerStepNorth, lattice.StepLatitudeE7);
            row <= lastRow;
            row++
        )
        {
            var y = scale.North(a, lattice.Centre(new(row, 0)));
            var (west, east) = Overlap(Between(0, length, y * uy, ux), Between(-halfWidth, halfWidth, -y * ux, uy));
            if (west > east)
                continue;

            // One cell more on each side leaves the decision to the exact test below, whatever the bounds lost in rounding.
            var lastColumn = Index(a.LongitudeE7 + east / scale.MetresPerStepEast, lattice.StepLongitudeE7) + 1;
            var column = Index(a.LongitudeE7 + west / scale.MetresPerStepEast, lattice.StepLongitudeE7) - 1;
            for (; column <= lastColumn; column++)
            {
                var x = scale.East(a, lattice.Centre(new(row, column)));
                var along = x * ux + y * uy;
                var across = x * uy - y * ux;
                if (along >= 0 && along < length && across >= -halfWidth && across < halfWidth)
                    yield return new(row, column);
            }
        }
    }

    private static int Index(double positionE7, int stepE7) => (int)Math.Floor(positionE7 / stepE7);

    /// <summary>The x for which low ≤ offset + x·slope ≤ high.</summary>
    private static (double West, double East) Between(double low, double high, double offset, double slope)
    {
        if (Math.Abs(slope) < 1e-9)
            return (double.NegativeInfinity, double.PositiveInfinity);
        var first = (low - offset) / slope;
        var second = (high - offset) / slope;
        return first < second ? (first, second) : (second, first);
    }

    private static (double West, double East) Overlap(
        (double West, double East) one,
        (double West, double East) other
    ) => (Math.Max(one.West, other.West), Math.Min(one.East, other.East));
}
