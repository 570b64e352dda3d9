using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger;

/// <summary>
/// An invented farm for tests that need no details: one drag line, one pit, two square fields side by side.
/// </summary>
internal static class Some
{
    public const string DragLine = "dragline-1";
    public const string Wagon = "wagon-1";
    public const string Sensor = "nir-1";
    public const string Pit = "north-pit";
    public const string West = "west";
    public const string East = "east";

    /// <summary>
    /// South-west corner of the western field; both fields are 20000 steps (about 220 m by 165 m) a side.
    /// </summary>
    public static readonly GeoPoint Corner = new(420_000_000, -935_000_000);

    public const int SideE7 = 20_000;

    /// <summary>10:00 on an April morning at the farm.</summary>
    public static readonly DateTimeOffset Morning = new(2026, 4, 14, 10, 0, 0, TimeSpan.FromHours(-5));

    public static readonly DateTimeOffset Recorded = Morning.AddDays(400);

    public static readonly CoverageGrid Grid = CoverageGrid.At(Corner.LatitudeE7);

    public static FarmRegistered Farm(string zone = "America/Chicago", DateOnly? begins = null) =>
        new("Three Elms", zone, 10, 1, begins ?? new(2025, 10, 1), Grid);

    public static Boundary Square(int eastE7 = 0, int northE7 = 0, int sideE7 = SideE7)
    {
        var (south, west) = (Corner.LatitudeE7 + northE7, Corner.LongitudeE7 + eastE7);
        return new([
            new(
                new([
                    new(south, west),
                    new(south, west + sideE7),
                    new(south + sideE7, west + sideE7),
                    new(south + sideE7, west),
                ]),
                []
            ),
        ]);
    }

    public static FieldRegistered Field(string id, Boundary boundary, DateOnly? from = null) =>
        new(id, $"The {id} field", boundary, from ?? new(2025, 1, 1));

    /// <summary>A no-spread zone of all 2026 and later.</summary>
    public static NoSpreadZoneRegistered Zone(string id, Boundary boundary) =>
        new(id, $"The {id} zone", boundary, new(2026, 1, 1), ValidTo: null, "Along the ditch");

    public static ApplicatorRegistered Applicator(
        string id = DragLine,
        MeterCounts counts = MeterCounts.Spreading,
        long? modulus = null
    ) => new(id, "Green bar", ApplicatorKind.DragLine, 9_000, counts, modulus);

    public static SensorMounted Mounted(
        DateTimeOffset? from = null,
        string sensor = Sensor,
        string equipment = DragLine,
        SensorPlace place = SensorPlace.OnApplicator,
        string? host = null
    ) => new(sensor, equipment, place, host ?? equipment, from ?? Morning.AddDays(-30));

    public static SourceChanged Source(string pit = Pit, DateTimeOffset? from = null, string applicator = DragLine) =>
        new(applicator, pit, from ?? Morning.AddDays(-30));

    public static PitRegistered PitOf(PitShape shape, int fullDepth = 3_000, string id = Pit) =>
        new(id, "North pit", shape, fullDepth);

    /// <summary>The configuration events that most tests start from.</summary>
    public static IJournalEvent[] ConfigurationEvents() =>
        [
            Farm(),
            Field(West, Square()),
            Field(East, Square(eastE7: SideE7)),
            Applicator(),
            Mounted(),
            PitOf(new RoundTank(30_000, 4_000)),
            Source(),
        ];

    public static FarmConfiguration Configuration(params IEnumerable<IJournalEvent> events) =>
        events.Aggregate(
            NutrientLedger.Ledger.Configuration.FarmConfiguration.Empty,
            (configuration, @event) => configuration.With(@event)
        );

    /// <summary>A reading in the middle of the western field, with a total in mL and nothing else.</summary>
    public static SpreadReading DragLineReading(long atMilliseconds, long? total) =>
        new(
            atMilliseconds,
            Corner.LatitudeE7 + SideE7 / 2,
            Corner.LongitudeE7 + SideE7 / 2,
            Engaged: true,
            TotalMillilitres: total
        );

    public static SpreadingMeasured Batch(
        IEnumerable<SpreadReading> readings,
        long firstSeq = 1,
        long boot = 1,
        string id = DragLine
    ) => new(new(id, boot, firstSeq, [.. readings]));

    public static LedgerAddition Posted(FarmConfiguration configuration, params IEnumerable<IJournalEvent> events)
    {
        var accumulator = new LedgerAccumulator();
        foreach (var @event in events)
            accumulator.Post(@event, Recorded, configuration);
        return accumulator.TakeAll();
    }
}
