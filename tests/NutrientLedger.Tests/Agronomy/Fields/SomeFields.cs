using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>Invented fields of many shapes. One seed always gives the same fields.</summary>
internal sealed class SomeFields(int seed)
{
    private const double MetresPerDegree = 111_000;

    private readonly Random random = new(seed);

    /// <summary>A field of roughly the area asked for, anywhere from 65 degrees south to 65 degrees north.</summary>
    public Boundary Next(double hectares)
    {
        var centre = Centre();
        var reach = Math.Sqrt(hectares * 10_000);
        return random.Next(5) switch
        {
            0 => new([new(Triangle(centre, reach), [])]),
            1 => new([new(LongStrip(centre, hectares * 10_000), [])]),
            2 => new([new(Blob(centre, reach), [])]),
            3 => new([Holed(centre, reach)]),
            _ => new([Holed(centre, reach / 2), new(Blob(Moved(centre, 3 * reach, reach), reach / 2), [])]),
        };
    }

    /// <summary>A field of many corners with two holes.</summary>
    public Boundary NextHoled() => new([Holed(Centre(), 400)]);

    public double Hectares() => 0.5 * Math.Pow(400, random.NextDouble());

    public GeoPoint PointNear(Boundary boundary)
    {
        var box = BoundaryBox.Around(boundary);
        var (height, width) = (box.NorthE7 - box.SouthE7, box.EastE7 - box.WestE7);
        return new(
            random.Next(box.SouthE7 - height / 10, box.NorthE7 + height / 10),
            random.Next(box.WestE7 - width / 10, box.EastE7 + width / 10)
        );
    }

    private GeoPoint Centre() =>
        new(random.Next(-650_000_000, 650_000_000), random.Next(-1_790_000_000, 1_790_000_000));

    private BoundaryPart Holed(GeoPoint centre, double reach) =>
        // The outline comes no nearer to its centre than 0.4 of its reach, so both holes lie within and apart.
        new(
            Blob(centre, reach),
            [
                Blob(Moved(centre, 0.18 * reach, 0.05 * reach), 0.15 * reach),
                Blob(Moved(centre, -0.18 * reach, 0), 0.15 * reach),
            ]
        );

    private Ring Blob(GeoPoint centre, double reach)
    {
        var corners = random.Next(5, 60);
        return Around(
            Enumerable
                .Range(0, corners)
                .Select(index =>
                {
                    var direction = 2 * Math.PI * (index + 0.8 * random.NextDouble()) / corners;
                    var distance = reach * (0.6 + 0.4 * random.NextDouble());
                    return Moved(centre, distance * Math.Cos(direction), distance * Math.Sin(direction));
                })
        );
    }

    private Ring Triangle(GeoPoint centre, double reach)
    {
        var turn = 2 * Math.PI * random.NextDouble();
        return Around(
            new[] { 0, 2.0, 4.0 + 0.5 * random.NextDouble() }.Select(direction =>
                Moved(centre, reach * Math.Cos(turn + direction), reach * Math.Sin(turn + direction))
            )
        );
    }

    private Ring LongStrip(GeoPoint centre, double squareMetres)
    {
        var (length, halfLength) = (1400.0, 700.0);
        var halfWidth = squareMetres / length / 2;
        var (sine, cosine) = Math.SinCos(random.Next(4) * Math.PI / 4);
        return Around(
            new[]
            {
                (-halfLength, -halfWidth),
                (halfLength, -halfWidth),
                (halfLength, halfWidth),
                (-halfLength, halfWidth),
            }.Select(corner =>
                Moved(centre, corner.Item1 * cosine - corner.Item2 * sine, corner.Item1 * sine + corner.Item2 * cosine)
            )
        );
    }

    private static Ring Around(IEnumerable<GeoPoint> corners) => new([.. corners]);

    public static GeoPoint Moved(GeoPoint from, double eastMetres, double northMetres) =>
        new(
            (int)(from.LatitudeE7 + northMetres / MetresPerDegree * 1e7),
            (int)(
                from.LongitudeE7
                + eastMetres / (MetresPerDegree * Math.Cos(from.LatitudeE7 / 1e7 * Math.PI / 180)) * 1e7
            )
        );
}
