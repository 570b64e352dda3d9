using System.Globalization;
using System.Text.Json;

namespace NutrientLedger.Benchmarks;

/// <summary>A square field by its south-west corner, in metres from the corner of the invented ground.</summary>
internal readonly record struct FieldSquare(double West, double South)
{
    public const double Metres = 320;
}

/// <summary>The invented ground, as a plane. Good enough for a few kilometres.</summary>
internal static class SeasonGround
{
    private const double SouthDegrees = 43;
    private const double WestDegrees = -91.5;
    private const double MetresADegree = 111_200;

    private static readonly double MetresADegreeEast = MetresADegree * Math.Cos(SouthDegrees * Math.PI / 180);

    public static double Latitude(double northMetres) => SouthDegrees + (northMetres / MetresADegree);

    public static double Longitude(double eastMetres) => WestDegrees + (eastMetres / MetresADegreeEast);
}

/// <summary>
/// An invented farm as a farm file, for hubs of any version. Each applicator has its own fields, its own tank with a
/// level sensor, and its own sensor. One more field is never worked.
/// </summary>
internal sealed record SeasonFarm(string Id, int Applicators, int FieldsEach)
{
    public const string IdleField = "idle";
    public const double TankDiameterMetres = 80;

    private const int FieldsARow = 20;
    private const double FieldDistanceMetres = FieldSquare.Metres + 30;

    public string Topic(int applicator) => $"agri/v1/{Id}/{BenchFarm.Applicator(applicator)}/spread";

    public string LevelTopic(int applicator) => $"agri/v1/{Id}/level-{applicator}/store";

    public static string Tank(int applicator) => $"tank-{applicator}";

    public static string Sensor(int applicator) => $"nir-{applicator}";

    public string Field(int applicator, int number) => $"field-{(applicator * FieldsEach) + number}";

    /// <summary>The fields of an applicator, in the order of work.</summary>
    public IReadOnlyList<FieldSquare> FieldsOf(int applicator) =>
        [.. Enumerable.Range(applicator * FieldsEach, FieldsEach).Select(Square)];

    /// <summary>Writes the farm file and its fields into a folder. Returns the path of the farm file.</summary>
    public async Task<string> WriteAsync(string folder, RedrawnField? redrawn = null)
    {
        var path = Path.Combine(folder, $"{Id}.json");
        await File.WriteAllTextAsync(path, FarmFile());
        await File.WriteAllTextAsync(Path.Combine(folder, $"{Id}.geojson"), Fields(redrawn));
        return path;
    }

    private string FarmFile()
    {
        var begins = SeasonCalendar.LedgerBegins;
        var from = begins.ToDateTime(TimeOnly.MinValue, DateTimeKind.Utc).AddHours(12);
        var applicators = Enumerable.Range(0, Applicators);
        return JsonSerializer.Serialize(
            new
            {
                farm = new
                {
                    id = Id,
                    name = "Bench farm",
                    timeZone = "America/Chicago",
                    seasonBegins = "10-01",
                    ledgerBegins = begins,
                },
                fields = $"{Id}.geojson",
                pits = applicators.Select(i => new
                {
                    id = Tank(i),
                    name = Tank(i),
                    shape = new
                    {
                        kind = "roundTank",
                        diameterMetres = TankDiameterMetres,
                        depthMetres = 5,
                    },
                    fullDepthMetres = 4.8,
                }),
                applicators = applicators.Select(i => new
                {
                    id = BenchFarm.Applicator(i),
                    name = BenchFarm.Applicator(i),
                    kind = "dragLine",
                    workingWidthMetres = SpreadingDrive.WidthMetres,
                    meterCounts = "spreading",
                }),
                sensors = applicators.SelectMany(i =>
                    new[]
                    {
                        Mounted(Sensor(i), BenchFarm.Applicator(i), "onApplicator", BenchFarm.Applicator(i)),
                        Mounted($"depth-{i}", $"level-{i}", "inPit", Tank(i)),
                    }
                ),
                sources = applicators.Select(i => new
                {
                    applicator = BenchFarm.Applicator(i),
                    pit = Tank(i),
                    from,
                }),
            }
        );

        object Mounted(string id, string equipment, string place, string host) =>
            new
            {
                id,
                equipment,
                place,
                host,
                from,
            };
    }

    private string Fields(RedrawnField? redrawn)
    {
        var worked = Enumerable.Range(0, Applicators * FieldsEach);
        return JsonSerializer.Serialize(
            new
            {
                type = "FeatureCollection",
                features = worked
                    .Select(i => Feature($"field-{i}", Square(i), redrawn))
                    .Append(Feature(IdleField, Square(worked.Count()), redrawn)),
            }
        );
    }

    private static object Feature(string id, FieldSquare square, RedrawnField? redrawn)
    {
        var properties = new Dictionary<string, string> { ["id"] = id, ["name"] = id };
        var south = square.South;
        if (redrawn?.Field == id)
        {
            south += redrawn.MetresFromSouth;
            properties["validFrom"] = redrawn.From.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
            properties["changeReason"] = "measured again";
        }
        var (east, north) = (square.West + FieldSquare.Metres, square.South + FieldSquare.Metres);
        double[][] ring =
        [
            Corner(square.West, south),
            Corner(east, south),
            Corner(east, north),
            Corner(square.West, north),
            Corner(square.West, south),
        ];
        return new
        {
            type = "Feature",
            properties,
            geometry = new { type = "Polygon", coordinates = new[] { ring } },
        };
    }

    private static double[] Corner(double east, double north) =>
        [Math.Round(SeasonGround.Longitude(east), 7), Math.Round(SeasonGround.Latitude(north), 7)];

    private static FieldSquare Square(int number) =>
        new(number % FieldsARow * FieldDistanceMetres, number / FieldsARow * FieldDistanceMetres);
}

/// <summary>A field without its southernmost metres, from a day on.</summary>
internal sealed record RedrawnField(string Field, double MetresFromSouth, DateOnly From);
