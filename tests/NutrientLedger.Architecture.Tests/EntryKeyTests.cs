using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Architecture.Tests;

/// <summary>
/// A withdrawal stores the key of what it takes back. So the key of each kind of entry has the same text for ever.
/// </summary>
public class EntryKeyTests
{
    private static readonly string[] Texts =
    [
        "adoption_rule_set: nir-1 totalNitrogen",
        "applicator_registered: wagon-1",
        "availability_set_chosen: 2026",
        "boundary_redrawn: west 2026-03-01",
        "default_deviations_set: * 2025-10-01",
        "default_deviations_set: north 2026-04-14",
        "farm_registered: farm",
        "field_registered: west 2025-10-01",
        "no_spread_zone_registered: well",
        "nutrient_plan_set: west 2026",
        "pit_registered: barn",
        "pit_registered: east",
        "pit_registered: north",
        "pit_registered: old",
        "pit_registered: south",
        "reading_limits_set: dragline-1 2026-04-14T15:00:00.5000000Z",
        "sensor_mounted: nir-1 2026-04-14T15:00:00.5000000Z",
        "source_changed: dragline-1 2026-04-14T15:00:00.5000000Z",
        "spreading_method_recorded: dragline-1 west 2026-04-14T15:00:00.5000000Z",
    ];

    [Fact]
    public void The_key_of_each_kind_of_entry_has_the_text_it_always_had() =>
        Assert.Equal(
            Texts,
            StoredEventsTests
                .ExamplesOf(EventRoute.FarmFile)
                .Select(example => EventTypes.Of(example).KeyOf(example)!.Value)
                .Select(key => $"{key.Entry}: {key.Text}")
                .Distinct()
                .Order(StringComparer.Ordinal)
        );

    [Fact]
    public void Only_entries_of_the_farm_file_have_a_key_because_only_they_are_replaced_and_withdrawn() =>
        Assert.All(
            Enum.GetValues<EventRoute>().Except([EventRoute.FarmFile]).SelectMany(StoredEventsTests.ExamplesOf),
            example => Assert.Null(EventTypes.Of(example).KeyOf(example))
        );

    [Fact]
    public void A_withdrawal_names_the_key_of_its_entry() =>
        Assert.Equal(
            EventTypes.Of(Mounted).KeyOf(Mounted),
            StoredEventsTests.ExamplesOf(EventRoute.Withdrawal).OfType<EntryWithdrawn>().Single().Withdrawn()
        );

    [Fact]
    public void One_moment_has_one_text_whatever_its_offset() =>
        Assert.Equal(
            EntryKey.TextOf("nir-1", new DateTimeOffset(2026, 4, 14, 10, 0, 0, TimeSpan.FromHours(-5))),
            EntryKey.TextOf("nir-1", new DateTimeOffset(2026, 4, 14, 17, 0, 0, TimeSpan.FromHours(2)))
        );

    [Fact]
    public void A_part_that_a_key_cannot_hold_is_rejected() =>
        Assert.Throws<ArgumentException>(() => EntryKey.TextOf(1.5));

    private static NutrientLedger.Journal.IJournalEvent Mounted =>
        StoredEventsTests
            .ExamplesOf(EventRoute.FarmFile)
            .OfType<NutrientLedger.Journal.Spreading.SensorMounted>()
            .First();
}
