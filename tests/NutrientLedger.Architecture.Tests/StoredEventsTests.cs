using System.Collections.Immutable;
using System.Text;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Seals;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Journal.Weather;

namespace NutrientLedger.Architecture.Tests;

/// <summary>
/// Stored events must stay readable for ever. Each file under StoredEvents is named by an event's stored name (and a
/// variant). It holds the exact bytes of one example: JSON, or hexadecimal for batches. Files are added, never edited.
/// </summary>
public class StoredEventsTests
{
    private static readonly ReadingsVoided Voided = new(
        "voiding-17",
        "dragline-1",
        TelemetryStream.Spread,
        3,
        70,
        129,
        VoidedPart.Composition,
        "Window fouled",
        "Ada Ash"
    );

    private static readonly DateTimeOffset Moment = new(2026, 4, 14, 10, 0, 0, 500, TimeSpan.FromHours(-5));

    private static readonly Boundary WithPond = new([
        new(
            new([new(420000000, -935000000), new(420000000, -934980000), new(420020000, -934980000)]),
            [new([new(420002000, -934990000), new(420002000, -934988000), new(420004000, -934988000)])]
        ),
        new(new([new(420030000, -935000000), new(420030000, -934980000), new(420040000, -934990000)]), []),
    ]);

    private static readonly NoSpreadZoneRegistered Zone = new("well", "Well", WithPond, new(2026, 3, 1), null, "Water");

    private static readonly Dictionary<string, IJournalEvent> Examples = new(
        PitExamples.All.Concat(SamplingEvents.Examples)
    )
    {
        ["farm_registered.json"] = new FarmRegistered(
            "Three Elms",
            "America/Chicago",
            10,
            1,
            new(2025, 10, 1),
            new(90, 122)
        ),
        ["field_registered.json"] = new FieldRegistered("west", "West of the lane", WithPond, new(2025, 10, 1)),
        ["boundary_redrawn.json"] = new BoundaryRedrawn("west", WithPond, new(2026, 3, 1), "Hedge moved"),
        ["no_spread_zone_registered.json"] = Zone,
        ["no_spread_zone_registered.ended.json"] = Zone with { ValidTo = new(2026, 9, 1) },
        ["entry_withdrawn.json"] = new EntryWithdrawn(
            "sensor_mounted",
            "nir-1 2026-04-14T15:00:00.5000000Z",
            "Never sat on that machine",
            "Ada Ash"
        ),
        ["nutrient_plan_set.json"] = new NutrientPlanSet(
            "west",
            2026,
            NitrogenBasis.Available,
            168_000,
            67_000,
            null,
            "maize"
        ),
        ["availability_set_chosen.own.json"] = new AvailabilitySetChosen(
            "our-figures",
            2026,
            ImmutableSortedDictionary<string, string>.Empty,
            """{"id":"our-figures"}"""
        ),
        ["availability_set_chosen.json"] = new AvailabilitySetChosen(
            "alberta-2007",
            2026,
            ImmutableSortedDictionary<string, string>.Empty.Add("weather", "cool-wet").Add("form", "liquid")
        ),
        ["pit_registered.basin.json"] = new PitRegistered(
            "north",
            "North basin",
            new RectangularBasin(60_000, 30_000, 3_000, 4_200),
            3_900
        ),
        ["pit_registered.tank.json"] = new PitRegistered("south", "South tank", new RoundTank(24_400, 4_900), 4_600),
        ["pit_registered.pond.json"] = new PitRegistered(
            "east",
            "East pond",
            new RoundPond(30_000, 2_500, 3_600),
            3_300
        ),
        ["pit_registered.covered.json"] = new PitRegistered(
            "barn",
            "Pit under the barn",
            new CoveredPit(36_000, 12_200, 2_400),
            2_100
        ),
        ["pit_registered.table.json"] = new PitRegistered(
            "old",
            "Old lagoon",
            new StageVolumeTable([new(0, 0), new(1_000, 820_000), new(2_400, 2_510_000)]),
            2_100
        ),
        ["source_changed.json"] = new SourceChanged("dragline-1", "north", Moment),
        ["applicator_registered.json"] = new ApplicatorRegistered(
            "wagon-1",
            "Red wagon",
            ApplicatorKind.TankWagon,
            7_500,
            MeterCounts.Filling,
            1_000_000_000
        ),
        ["sensor_mounted.json"] = new SensorMounted("nir-1", "dragline-1", SensorPlace.AtPump, "dragline-1", Moment),
        ["sensor_mounted.hose.json"] = new SensorMounted(
            "nir-1",
            "dragline-1",
            SensorPlace.AtPump,
            "dragline-1",
            Moment,
            29_400_000
        ),
        ["spreading_method_recorded.json"] = new SpreadingMethodRecorded(
            "dragline-1",
            "west",
            SpreadingMethod.ClosedSlotInjection,
            0,
            Moment
        ),
        ["readings_voided.json"] = Voided,
        ["readings_voided.total.json"] = Voided with { Part = VoidedPart.Total, Across = new(25_000_000_000, 90_000) },
        ["void_withdrawn.json"] = new VoidWithdrawn("voiding-17", "The laboratory agrees", "Ada Ash"),
        ["questionable_time_decided.json"] = new QuestionableTimeDecided(
            "dragline-1",
            TelemetryStream.Spread,
            4,
            1,
            600,
            TimeDecision.Shifted,
            -86_400_000,
            "Clock a day ahead",
            "Ada Ash"
        ),
        ["device_replaced.json"] = new DeviceReplaced("dragline-1", 58, "Ada Ash", "Controller burnt out"),
        ["reading_limits_set.json"] = new ReadingLimitsSet(
            "dragline-1",
            Moment,
            [
                new(LimitedQuantity.TotalNitrogen, 200, 12_000, "common practice, no source"),
                new(LimitedQuantity.Speed, null, 7_000, "own value"),
            ]
        ),
        ["spreading_measured.hex"] = new SpreadingMeasured(
            new(
                "dragline-1",
                3,
                70,
                [
                    new(1_776_178_800_000, 420001000, -934990000, 2_000, 9_000, true, 30_000, 1_030_000, 60_000, 4_000),
                    new(1_776_178_801_000, 420001180, -934990000, 2_010, 9_000, false, 30_100, 1_060_050),
                ],
                After: new(1_776_178_802_000)
            )
        ),
        ["storage_level_measured.hex"] = new StorageLevelMeasured(
            new("pit-a", 3, 70, [new(1_776_000_060_000, 2_450, 11_500)], Before: new(1_776_000_000_000, 2_452))
        ),
        ["weather_measured.hex"] = new WeatherMeasured(
            new("station-1", 1, 1, [new(1_776_000_060_000, -1_250, 3_400, 12_200, 81_500)])
        ),
        ["journal_sealed.json"] = new JournalSealed(41, "0a1b", 3, "2c3d"),
    };

    public static TheoryData<string> Names => [.. Examples.Keys];

    internal static IEnumerable<IJournalEvent> ExamplesOf(EventRoute route) =>
        Examples.Values.Where(example => EventTypes.Of(example).Source.Route == route);

    [Theory]
    [MemberData(nameof(Names))]
    public void An_event_is_stored_exactly_as_it_always_was(string file) =>
        Assert.Equal(Stored(file), Text(file, EventCodec.Encode(Examples[file])));

    [Theory]
    [MemberData(nameof(Names))]
    public void What_was_stored_is_still_read_as_the_same_event(string file)
    {
        var stored = Stored(file);
        var bytes = file.EndsWith(".hex", StringComparison.Ordinal)
            ? Convert.FromHexString(stored)
            : Encoding.UTF8.GetBytes(stored);

        var read = EventCodec.Decode(file[..file.IndexOf('.', StringComparison.Ordinal)], bytes);

        Assert.IsType(Examples[file].GetType(), read);
        Assert.Equal(stored, Text(file, EventCodec.Encode(read)));
    }

    /// <summary>
    /// The import of a file compares its events with those in force. A list inside a record needs an equality of its
    /// own.
    /// </summary>
    [Fact]
    public void An_event_of_a_file_read_twice_is_equal() =>
        Assert.All(
            ExamplesOf(EventRoute.FarmFile).Concat(ExamplesOf(EventRoute.HandRecord)),
            example => Assert.Equal(Reread(example), Reread(example))
        );

    private static IJournalEvent Reread(IJournalEvent @event) =>
        EventCodec.Decode(EventTypes.NameOf(@event), EventCodec.Encode(@event));

    [Fact]
    public void Every_event_has_a_stored_example_and_every_example_an_event()
    {
        var types = typeof(IJournalEvent)
            .Assembly.GetTypes()
            .Where(type => type.IsClass && type.IsAssignableTo(typeof(IJournalEvent)));
        var folder = Path.Combine(Repository.Root, "tests/NutrientLedger.Architecture.Tests/StoredEvents");

        Assert.Equal(
            types.Select(type => type.Name).Order(),
            Examples.Values.Select(@event => @event.GetType().Name).Distinct().Order()
        );
        Assert.Equal(Examples.Keys.Order(), Directory.GetFiles(folder).Select(path => Path.GetFileName(path)).Order());
    }

    private static string Text(string file, byte[] bytes) =>
        file.EndsWith(".hex", StringComparison.Ordinal)
            ? Convert.ToHexStringLower(bytes)
            : Encoding.UTF8.GetString(bytes);

    private static string Stored(string file) =>
        File.ReadAllText(Path.Combine(Repository.Root, "tests/NutrientLedger.Architecture.Tests/StoredEvents", file))
            .TrimEnd('\n');
}
