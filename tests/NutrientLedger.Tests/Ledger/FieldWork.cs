using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Tests.Ledger;

/// <summary>
/// A field worked to and fro in passes side by side, 12 m wide and 380 m long, at 2 m/s with one reading a second. At
/// the headland the machine turns with its tool raised.
/// </summary>
/// <param name="Degrees">The direction of the passes, clockwise from north.</param>
/// <param name="NoiseMetres">The standard deviation of each position, north and east.</param>
internal sealed record FieldWork(double Degrees, double NoiseMetres)
{
    public const int WidthMillimetres = 12_000;
    private const double Width = WidthMillimetres / 1000.0;
    private const double Speed = 2;
    private const double Length = 380;

    public DateTimeOffset Start { get; init; } = Some.Morning;

    public GeoPoint From { get; init; } = Some.Corner;

    public int Passes { get; init; } = 32;

    public int Seed { get; init; } = 1;

    public SpreadReading[] Drive()
    {
        var random = new Random(Seed);
        var scale = GroundScale.At(From.LatitudeE7);
        var (sin, cos) = Math.SinCos(Degrees * Math.PI / 180);
        return [.. Places().Select((place, second) => At(second, place))];

        SpreadReading At(int second, (double Along, double Across, bool Engaged) place)
        {
            var north = (place.Along * cos) - (place.Across * sin) + Noise();
            var east = (place.Along * sin) + (place.Across * cos) + Noise();
            return new(
                Start.ToUnixTimeMilliseconds() + (second * 1000L),
                From.LatitudeE7 + (int)Math.Round(north / scale.MetresPerStepNorth),
                From.LongitudeE7 + (int)Math.Round(east / scale.MetresPerStepEast),
                WidthMillimetres: WidthMillimetres,
                Engaged: place.Engaged,
                FlowMillilitresPerSecond: 60_000,
                TotalMillilitres: second * 60_000L
            );
        }

        // Normally distributed (Box and Muller).
        double Noise() =>
            NoiseMetres
            * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble()))
            * Math.Cos(2 * Math.PI * random.NextDouble());
    }

    private IEnumerable<(double Along, double Across, bool Engaged)> Places()
    {
        for (var pass = 0; pass < Passes; pass++)
        {
            var forth = pass % 2 == 0;
            for (double driven = 0; driven <= Length; driven += Speed)
                yield return (forth ? driven : Length - driven, pass * Width, driven < Length);
            // Half a circle to where the next pass begins.
            for (var angle = Speed; angle < Math.PI * Width / 2; angle += Speed)
            {
                var (sin, cos) = Math.SinCos(angle / (Width / 2));
                var ahead = Width / 2 * sin;
                yield return (forth ? Length + ahead : -ahead, (pass * Width) + (Width / 2 * (1 - cos)), false);
            }
        }
    }
}
