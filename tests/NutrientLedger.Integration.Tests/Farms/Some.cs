using System.Collections.Immutable;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Farms;

/// <summary>
/// An invented farm with one square field, and an applicator that drives north over it, a reading a second.
/// </summary>
internal static class Some
{
    public const string Farm = "alder-bank";
    public const string Applicator = "spreader-1";
    public const string Gauge = "gauge-1";

    public static readonly DateTimeOffset Morning = new(2026, 10, 5, 14, 0, 0, TimeSpan.Zero);

    /// <summary>All configuration events that the farm's ledger needs. The field's western edge can be moved.</summary>
    public static IReadOnlyList<IJournalEvent> ConfigurationEvents(int westE7 = -950_100_000) =>
        [
            new FarmRegistered("Alder Bank", "America/Chicago", 10, 1, new(2026, 1, 1), new(90, 128)),
            new FieldRegistered("home", "Home field", Square(westE7), new(2026, 1, 1)),
            new PitRegistered("pit", "Pit", new RoundTank(20_000, 4_000), 3_700),
            new ApplicatorRegistered(
                Applicator,
                "Spreader",
                ApplicatorKind.DragLine,
                9_000,
                MeterCounts.Spreading,
                MeterModulusMillilitres: null
            ),
            new SensorMounted("sensor-1", Applicator, SensorPlace.OnApplicator, Applicator, Morning.AddDays(-30)),
            new SensorMounted("level-1", Gauge, SensorPlace.InPit, "pit", Morning.AddDays(-30)),
            new SourceChanged(Applicator, "pit", Morning.AddDays(-30)),
        ];

    public static BoundaryRedrawn Redrawn(int westE7) => new("home", Square(westE7), new(2026, 1, 1), "measured again");

    /// <summary>
    /// The reading with this number: 3 m/s north, 30 litres a second, every twentieth reading disengaged.
    /// </summary>
    public static SpreadReading Reading(long seq) =>
        new(
            Morning.ToUnixTimeMilliseconds() + (seq * 1000),
            450_000_000 + (int)(seq * 270),
            -950_000_000 + (int)(seq / 400 * 1100),
            3_000,
            9_000,
            seq % 20 != 0,
            30_000,
            seq * 30_000,
            60_000,
            4_000 + (int)(seq % 7 * 10),
            2_500,
            800,
            3_000
        );

    public static LevelReading Level(long seq) =>
        new(Morning.ToUnixTimeMilliseconds() + (seq * 60_000), 3_000 - (int)(seq % 50), 12_000);

    /// <summary>Readings first to last, as one message.</summary>
    public static DecodedMessage Message(
        long first,
        long last,
        string farm = Farm,
        string equipment = Applicator,
        long boot = 1
    ) =>
        Decoded(
            new SpreadingMeasured(new(equipment, boot, first, [.. Numbers(first, last).Select(Reading)])),
            farm,
            $"agri/v1/{farm}/{equipment}/spread"
        );

    public static DecodedMessage LevelMessage(long first, long last, string gauge = Gauge) =>
        Decoded(
            new StorageLevelMeasured(new(gauge, 1, first, [.. Numbers(first, last).Select(Level)])),
            Farm,
            $"agri/v1/{Farm}/{gauge}/store"
        );

    public static IEnumerable<long> Numbers(long first, long last)
    {
        for (var seq = first; seq <= last; seq++)
            yield return seq;
    }

    private static DecodedMessage Decoded(IJournalEvent @event, string farm, string topic) =>
        new(farm, @event, topic, new byte[] { 1, 2, 3 });

    private static Boundary Square(int westE7)
    {
        ImmutableArray<GeoPoint> corners =
        [
            new(449_900_000, westE7),
            new(449_900_000, -949_900_000),
            new(451_000_000, -949_900_000),
            new(451_000_000, westE7),
        ];
        return new([new(new(corners), [])]);
    }
}
