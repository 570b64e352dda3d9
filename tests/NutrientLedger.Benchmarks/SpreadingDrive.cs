namespace NutrientLedger.Benchmarks;

/// <summary>
/// A reading of an applicator at work: degrees, m/s, m³/s, the meter's total in m³, dry matter as a fraction of fresh
/// mass, and kg/m³.
/// </summary>
internal readonly record struct DrivenReading(
    double Latitude,
    double Longitude,
    bool Engaged,
    double Speed,
    double Flow,
    double Total,
    double DryMatter,
    double TotalNitrogen,
    double AmmoniumNitrogen,
    double Phosphorus,
    double Potassium
);

/// <summary>
/// The readings of an applicator that works square fields one after another, then again from the first. It drives
/// passes 12 m apart, at 35 degrees to the grid, at about 2 m/s, and lifts its tool to turn on the headland. Its
/// heading wanders a little. Positions have 2 cm of noise, and the composition changes slowly with noise on top. The
/// same seed makes the same readings.
/// </summary>
internal sealed class SpreadingDrive(int seed, IReadOnlyList<FieldSquare> fields, double secondsAReading)
{
    public const double WidthMetres = 12;

    private const double SpeedMetresASecond = 2;
    private const double PositionNoiseMetres = 0.02;
    private const double TurnMetres = 8;
    private const double ShortestPassMetres = 20;

    private static readonly (double X, double Y) Along = (Math.Cos(Angle), Math.Sin(Angle));
    private static readonly (double X, double Y) Across = (-Along.Y, Along.X);

    private readonly Random random = new(seed);

    private static double Angle => 35 * Math.PI / 180;

    /// <summary>The readings in their order, without an end.</summary>
    public IEnumerable<DrivenReading> Readings()
    {
        var (speed, flow) = (new Wander(0.98, 0.01), new Wander(0.95, 0.005));
        var (dryMatter, nitrogen, phosphorus, potassium) = (Slow(), Slow(), Slow(), Slow());
        var (beyond, offset, heading, total) = (0.0, 0.0, 0.0, 0.0);
        foreach (var leg in Legs())
        {
            var (x, y) = (leg.ToX - leg.FromX, leg.ToY - leg.FromY);
            var length = Math.Sqrt((x * x) + (y * y));
            for (; beyond < length; )
            {
                var (east, north) = (
                    leg.FromX + ((beyond * x) - (offset * y)) / length + (PositionNoiseMetres * Noise()),
                    leg.FromY + ((beyond * y) + (offset * x)) / length + (PositionNoiseMetres * Noise())
                );
                var driven = SpeedMetresASecond * (1 + speed.Next(Noise()));
                var flowing = leg.Engaged ? 0.031 * (1 + flow.Next(Noise())) : 0;
                total += flowing * secondsAReading;
                var totalNitrogen = 4.1 * Share(nitrogen);
                yield return new(
                    SeasonGround.Latitude(north),
                    SeasonGround.Longitude(east),
                    leg.Engaged,
                    driven,
                    flowing,
                    total,
                    0.06 * Share(dryMatter),
                    totalNitrogen,
                    0.52 * totalNitrogen * (1 + (0.01 * Noise())),
                    0.8 * Share(phosphorus),
                    3.2 * Share(potassium)
                );
                // The driver steers back to the pass.
                heading = (0.9 * heading) + (0.004 * Noise()) - (0.02 * offset);
                offset += driven * secondsAReading * heading;
                beyond += driven * secondsAReading;
            }
            beyond -= length;
        }
    }

    private static Wander Slow() => new(0.999, 0.004);

    private double Share(Wander slow) => Math.Max(0.3, 1 + slow.Next(Noise()) + (0.01 * Noise()));

    /// <summary>The passes of all fields, and the turns and ways between them.</summary>
    private IEnumerable<Leg> Legs()
    {
        (double X, double Y)? at = null;
        while (true)
            foreach (var field in fields)
            foreach (var (from, to) in Passes(field))
            {
                var begin = (X: from.X, Y: from.Y);
                var (x, y) = (to.X - from.X, to.Y - from.Y);
                var length = Math.Sqrt((x * x) + (y * y));
                var (outX, outY) = (TurnMetres * x / length, TurnMetres * y / length);
                if (at is { } last)
                    yield return new(last.X, last.Y, begin.X - outX, begin.Y - outY, Engaged: false);
                yield return new(begin.X - outX, begin.Y - outY, begin.X, begin.Y, Engaged: false);
                yield return new(begin.X, begin.Y, to.X, to.Y, Engaged: true);
                yield return new(to.X, to.Y, to.X + outX, to.Y + outY, Engaged: false);
                at = (to.X + outX, to.Y + outY);
            }
    }

    /// <summary>The passes of a field, to and fro, each as long as the field is there.</summary>
    private static IEnumerable<((double X, double Y) From, (double X, double Y) To)> Passes(FieldSquare field)
    {
        var size = FieldSquare.Metres;
        var (least, most) = (size * Across.X, size * Across.Y);
        var isBack = false;
        for (var off = least + (WidthMetres / 2); off < most; off += WidthMetres)
        {
            // The pass is all points off * Across + t * Along with both coordinates from 0 to the field's size.
            var (first, last) = (
                Math.Max(-off * Across.X / Along.X, -off * Across.Y / Along.Y),
                Math.Min((size - (off * Across.X)) / Along.X, (size - (off * Across.Y)) / Along.Y)
            );
            if (last - first < ShortestPassMetres)
                continue;
            yield return isBack ? (At(last), At(first)) : (At(first), At(last));
            isBack = !isBack;

            (double X, double Y) At(double t) =>
                (field.West + (off * Across.X) + (t * Along.X), field.South + (off * Across.Y) + (t * Along.Y));
        }
    }

    /// <summary>A normally distributed number with mean 0 and deviation 1.</summary>
    private double Noise() =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    private readonly record struct Leg(double FromX, double FromY, double ToX, double ToY, bool Engaged);

    /// <summary>A share that keeps most of its last value and returns to 0.</summary>
    private sealed class Wander(double kept, double step)
    {
        private double value;

        public double Next(double noise) => value = (kept * value) + (step * noise);
    }
}
