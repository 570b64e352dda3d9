using System.Collections.Immutable;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Tests.Ledger.Configuration;

/// <summary>
/// A slip in the farm file can be taken back. Corrected under the same key, or withdrawn, an entry counts as if it had
/// never been made.
/// </summary>
public class EntriesInForceTests
{
    private static readonly DateTimeOffset From = Some.Morning.AddDays(-3);
    private static readonly DateOnly Day = new(2026, 3, 1);

    /// <summary>For each kind of entry a slip and what was meant, under the same key.</summary>
    private static readonly Dictionary<string, (IJournalEvent Slip, IJournalEvent Meant)> Slips = new()
    {
        ["sensor on the wrong machine"] = (
            Some.Mounted(From, "nir-2", Some.Wagon),
            Some.Mounted(From, "nir-2", Some.DragLine)
        ),
        ["sensor in the wrong pit"] = (
            Some.Mounted(From, "radar", "level-1", SensorPlace.InPit, "south-pit"),
            Some.Mounted(From, "radar", "level-1", SensorPlace.InPit, Some.Pit)
        ),
        ["sensor in a pit that is at the pump"] = (
            Some.Mounted(From, "nir-2", Some.Wagon, SensorPlace.InPit, Some.Pit),
            Some.Mounted(From, "nir-2", Some.Wagon, SensorPlace.AtPump)
        ),
        ["source"] = (Some.Source("south-pit", From), Some.Source("east-pit", From)),
        ["method"] = (Method(SpreadingMethod.Broadcast), Method(SpreadingMethod.OpenSlotInjection)),
        ["plan"] = (Plan(160), Plan(120)),
        ["limits"] = (Limits(7_000), Limits(9_000)),
        ["limits of the farm"] = (
            new ReadingLimitsSet(null, From, [new(LimitedQuantity.Speed, 1, 2, "slip")]),
            new ReadingLimitsSet(null, From, [new(LimitedQuantity.Speed, 1, 3, "meant")])
        ),
        ["deviations"] = (Deviations(1), Deviations(2)),
        ["calibration rule"] = (
            new AdoptionRuleSet(Some.Sensor, Analyte.Potassium, true, 10, 1),
            new AdoptionRuleSet(Some.Sensor, Analyte.Potassium, false, 10, 1)
        ),
        ["zone"] = (Some.Zone("well", Some.Square()), Some.Zone("well", Some.Square(eastE7: 1_000))),
        ["availability"] = (Set("minnesota"), Set("alberta-2007")),
        ["pit"] = (
            Some.PitOf(new RoundTank(10_000, 4_000), id: "third"),
            Some.PitOf(new RoundTank(20_000, 4_000), id: "third")
        ),
        ["applicator"] = (Some.Applicator(Some.Wagon, modulus: 1), Some.Applicator(Some.Wagon, MeterCounts.Filling)),
        ["field"] = (
            Some.Field("north", Some.Square(northE7: 90_000), Day),
            Some.Field("north", Some.Square(northE7: 60_000), Day)
        ),
        ["boundary"] = (
            new BoundaryRedrawn(Some.West, Some.Square(sideE7: 9_000), Day, "slip"),
            new BoundaryRedrawn(Some.West, Some.Square(sideE7: 8_000), Day, "meant")
        ),
    };

    public static TheoryData<string> Kinds => [.. Slips.Keys];

    [Fact]
    public void Every_kind_of_entry_but_the_farm_itself_is_tried() =>
        Assert.Equal(
            EventTypes
                .All.Where(type => type.Source.Route == NutrientLedger.Journal.Definitions.EventRoute.FarmFile)
                .Select(type => type.Type)
                .Where(type => type != typeof(FarmRegistered))
                .OrderBy(type => type.Name),
            Slips.Values.Select(it => it.Meant.GetType()).Distinct().OrderBy(type => type.Name)
        );

    [Theory]
    [MemberData(nameof(Kinds))]
    public void An_entry_corrected_under_the_same_key_counts_nowhere(string kind)
    {
        var (slip, meant) = Slips[kind];

        Assert.NotEqual(Answers(slip), Answers(meant));
        Assert.Equal(Answers(meant), Answers(slip, meant));
        Assert.Equal(Answers(slip), Answers(slip, meant, slip));
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void An_entry_that_was_withdrawn_counts_nowhere_until_it_is_imported_again(string kind)
    {
        var (slip, meant) = Slips[kind];

        Assert.Equal(Answers(), Answers(slip, Withdrawn(slip)));
        Assert.Equal(Answers(), Answers(slip, meant, Withdrawn(slip)));
        Assert.Equal(Answers(meant), Answers(slip, Withdrawn(slip), meant));
        Assert.Equal(Answers(slip), Answers(Withdrawn(slip), slip));
    }

    [Fact]
    public void A_sensor_moved_to_another_machine_leaves_the_first_one()
    {
        var (wrong, right) = Slips["sensor on the wrong machine"];
        var corrected = Some.Configuration([.. Some.ConfigurationEvents(), wrong, right]);
        var noon = Some.Morning.ToUnixTimeMilliseconds();

        Assert.Null(corrected.SensorFor(Some.Wagon, noon));
        Assert.Equal("nir-2", corrected.SensorFor(Some.DragLine, noon)!.SensorId);
    }

    [Fact]
    public void A_method_for_a_field_goes_before_one_for_all_from_the_same_moment_whichever_came_first()
    {
        var here = Method(SpreadingMethod.Broadcast);
        var all = here with { FieldId = null, Method = SpreadingMethod.TrailingHose };

        Assert.All(
            new[] { Some.Configuration(here, all), Some.Configuration(all, here) },
            configuration =>
                Assert.Equal(here, configuration.Method(Some.DragLine, Some.West, From.ToUnixTimeMilliseconds()))
        );
    }

    [Fact]
    public void Of_two_moments_within_a_millisecond_the_later_counts_whichever_came_first()
    {
        var (first, second) = (Some.Source("a", From.AddTicks(1)), Some.Source("b", From.AddTicks(2)));

        Assert.All(
            new[] { Some.Configuration(first, second), Some.Configuration(second, first) },
            configuration =>
                Assert.Equal("b", configuration.PitFeeding(Some.DragLine, From.ToUnixTimeMilliseconds() + 1))
        );
    }

    private static string[] Answers(params IEnumerable<IJournalEvent> events) =>
        ConfigurationAnswers.Of(Some.Configuration([.. Some.ConfigurationEvents(), .. events]), From, Some.Morning);

    private static EntryWithdrawn Withdrawn(IJournalEvent entry)
    {
        var key = EventTypes.Of(entry).KeyOf(entry)!.Value;
        return new(key.Entry, key.Text, "A slip", "Ada Ash");
    }

    private static SpreadingMethodRecorded Method(SpreadingMethod method) =>
        new(Some.DragLine, Some.West, method, null, From);

    private static NutrientPlanSet Plan(int kilograms) =>
        new(Some.West, 2026, NitrogenBasis.Total, kilograms * 1000, null, null, "maize");

    private static ReadingLimitsSet Limits(int width) =>
        new(Some.DragLine, From, [new(LimitedQuantity.Width, width, null, "invented")]);

    private static DefaultDeviationsSet Deviations(int millionths) =>
        new(null, Day, [new(PitMeasurement.Rain, millionths, "invented")]);

    private static AvailabilitySetChosen Set(string id) =>
        new(id, 2026, ImmutableSortedDictionary<string, string>.Empty);
}
