using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>All readings of one piece of equipment, stream and boot, numbered from 1 up.</summary>
internal sealed record Series<TReading>(string EquipmentId, long Boot, TReading[] Readings)
    where TReading : struct, IReading<TReading>;

/// <summary>
/// A season made from a seed, as rough as a farm's. Applicators wander over two fields and beyond, clocks jump, meters
/// roll over and reset, signals drop out, sensors and sources change during the work.
/// </summary>
internal sealed class InventedSeason
{
    public const long Modulus = 20_000_000;

    private static readonly string[] Zones =
    [
        "America/Chicago",
        "Asia/Kolkata",
        "Australia/Lord_Howe",
        "Europe/Berlin",
    ];

    private readonly Random random;

    /// <summary>Half an hour before the change to daylight saving time at the farm in Chicago's zone.</summary>
    private readonly DateTimeOffset start = new(2026, 3, 8, 7, 30, 0, TimeSpan.Zero);

    public InventedSeason(int seed)
    {
        (random, Seed) = (new(seed), seed);
        Zone = Zones[seed % Zones.Length];
        Spread = [Drive(Some.DragLine, 1), Drive(Some.DragLine, 2), Drive(Some.Wagon, 1), Drive("unregistered", 1)];
        Levels = [Watch("level-1", 1), Watch("level-1", 2), Watch("unmounted", 1)];
        ConfigurationEvents = MakeConfigurationEvents();
        Decisions = [.. Decide(Spread), .. Decide(Levels)];
    }

    public int Seed { get; }

    public string Zone { get; }

    public Series<SpreadReading>[] Spread { get; }

    public Series<LevelReading>[] Levels { get; }

    public IJournalEvent[] ConfigurationEvents { get; }

    /// <summary>Voids, some of them withdrawn, and at most one decision about the clock of any reading.</summary>
    public IJournalEvent[] Decisions { get; }

    private IJournalEvent[] MakeConfigurationEvents() =>
        [
            Some.Farm(Zone, new DateOnly(2026, 3, 8)),
            Some.Field(Some.West, Some.Square(), new(2026, 1, 1)),
            Some.Field(Some.East, Some.Square(eastE7: Some.SideE7), new(2026, 1, 1)),
            new BoundaryRedrawn(Some.West, Some.Square(northE7: 4_000), new(2026, 3, 9), "Ditch moved"),
            Some.Applicator(modulus: Modulus),
            Some.Applicator(Some.Wagon, MeterCounts.Filling),
            Some.Mounted(Soon()),
            Some.Mounted(Soon(), "nir-2"),
            Some.Mounted(Soon(), "nir-3", place: SensorPlace.AtPump),
            Some.Mounted(Soon(), "nir-2", Some.Wagon),
            Some.Mounted(Soon(), "radar-1", "level-1", SensorPlace.InPit, Some.Pit),
            Some.Mounted(Soon(), "radar-1", "level-1", SensorPlace.InPit, "south-pit"),
            new ReadingLimitsSet(null, Soon(), [new(LimitedQuantity.TotalNitrogen, 2_500, 5_500, "invented")]),
            new ReadingLimitsSet(
                Some.DragLine,
                Soon(),
                [
                    new(LimitedQuantity.DryMatter, null, 80_000, "invented"),
                    new(LimitedQuantity.FlowWhileEngaged, 500, 50_000, "invented"),
                    new(LimitedQuantity.FlowWhileDisengaged, null, 1_000, "invented"),
                    new(LimitedQuantity.Width, 7_000, 11_000, "invented"),
                ]
            ),
            Some.PitOf(new RoundTank(30_000, 4_000)),
            Some.Source(from: Soon()),
            Some.Source("south-pit", Soon()),
            Some.Source(from: Soon(), applicator: Some.Wagon),
        ];

    private IEnumerable<IJournalEvent> Decide<TReading>(Series<TReading>[] all)
        where TReading : struct, IReading<TReading>
    {
        foreach (var (series, place) in all.Select((series, place) => (series, place)))
        {
            var count = series.Readings.Length;
            for (var i = 0; i < 5; i++)
            {
                var (id, first) = ($"{TReading.Stream}-{place}-{i}", random.Next(1, count));
                // Of voids of a total the last one holds. One alone lets the order of decisions not matter.
                var part =
                    i == 0 && Chance(50)
                        ? VoidedPart.Total
                        : Pick(VoidedPart.Reading, VoidedPart.Composition, VoidedPart.Level);
                yield return new ReadingsVoided(
                    id,
                    series.EquipmentId,
                    TReading.Stream,
                    series.Boot,
                    first,
                    first + random.Next(12),
                    part,
                    "Window fouled",
                    "Ada Ash",
                    part == VoidedPart.Total ? new(random.Next(1_000_000_000), random.Next(1_000_000)) : null
                );
                if (Chance(30))
                    yield return new VoidWithdrawn(id, "It was right after all", "Ada Ash");
            }
            for (var first = 1; first < count; first += random.Next(40, 120))
            {
                var decision = Pick(TimeDecision.AsMeasured, TimeDecision.Shifted, TimeDecision.LeftOut);
                yield return new QuestionableTimeDecided(
                    series.EquipmentId,
                    TReading.Stream,
                    series.Boot,
                    first,
                    first + random.Next(40),
                    decision,
                    decision == TimeDecision.Shifted ? Pick<long>(-90_000_000, 30_000_000, -250) : 0,
                    "Clock looked up",
                    "Ada Ash"
                );
            }
        }
    }

    private DateTimeOffset Soon() => start.AddMilliseconds(random.Next(7_200_000));

    private bool Chance(int percent) => random.Next(100) < percent;

    private T? Mostly<T>(T value)
        where T : struct => Chance(92) ? value : null;

    private Series<SpreadReading> Drive(string equipment, int boot)
    {
        var readings = new SpreadReading[random.Next(150, 400)];
        var at = start.AddMinutes(random.Next(60)).ToUnixTimeMilliseconds();
        var (latitude, longitude) = (
            Some.Corner.LatitudeE7 + random.Next(15_000),
            Some.Corner.LongitudeE7 + random.Next(40_000)
        );
        var (north, east) = (random.Next(-300, 300), random.Next(-300, 300));
        long total = random.Next((int)Modulus);
        bool? engaged = true;
        for (var i = 0; i < readings.Length; i++)
        {
            readings[i] = Reading(at, new(latitude, longitude), engaged, total);
            at += Chance(95) ? 1_000 : Pick<long>(0, -400, 9_999, 10_001, 1_500_000, 90_000_000, -30_000_000);
            if (Chance(3))
                (north, east) = (random.Next(-300, 300), random.Next(-300, 300));
            (latitude, longitude) = Chance(1) ? (latitude + 9_000, longitude) : (latitude + north, longitude + east);
            if (Chance(5))
                engaged = Pick<bool?>(true, false, null);
            total = Chance(1) ? 0 : (total + random.Next(80_000)) % Modulus;
        }
        return new(equipment, boot, readings);
    }

    private SpreadReading Reading(long at, GeoPoint place, bool? engaged, long total)
    {
        var placed = Chance(97);
        return new(
            at,
            placed ? place.LatitudeE7 : null,
            placed ? place.LongitudeE7 : null,
            WidthMillimetres: Chance(90) ? random.Next(6_000, 12_000) : null,
            Engaged: engaged,
            FlowMillilitresPerSecond: Mostly(random.Next(60_000)),
            TotalMillilitres: Mostly(total),
            DryMatterPartsPerMillion: Mostly(random.Next(90_000)),
            TotalNitrogenMilligramsPerLitre: Mostly(random.Next(2_000, 6_000)),
            AmmoniumNitrogenMilligramsPerLitre: Mostly(random.Next(1_000, 4_000)),
            PhosphorusMilligramsPerLitre: Mostly(random.Next(1_500)),
            PotassiumMilligramsPerLitre: Mostly(random.Next(4_000))
        );
    }

    private Series<LevelReading> Watch(string equipment, int boot)
    {
        var at = start.AddMinutes(random.Next(60)).ToUnixTimeMilliseconds();
        return new(
            equipment,
            boot,
            [.. Enumerable.Range(0, 200).Select(i => new LevelReading(at + i / 2 * 60_000, Mostly(random.Next(4_500))))]
        );
    }

    private T Pick<T>(params T[] choices) => choices[random.Next(choices.Length)];
}
