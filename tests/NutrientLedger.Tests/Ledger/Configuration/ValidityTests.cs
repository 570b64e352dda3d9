using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Tests.Ledger.Configuration;

/// <summary>
/// What is in force when: the ledger line of an interval depends on its first reading's time, never on arrival.
/// </summary>
public class ValidityTests
{
    [Fact]
    public void A_sensor_mounted_in_the_middle_of_a_pass_counts_from_its_moment_on()
    {
        var configuration = With(Some.Mounted(Some.Morning.AddSeconds(4)));
        var lines = Posted(configuration, new Pass(11));

        var without = lines.Single(line => line.Key.SensorId.Length == 0).Value;
        var with = lines.Single(line => line.Key.SensorId == Some.Sensor).Value;
        Assert.Equal((120_000, 120_000), (without.VolumeMillilitres, without.TotalNitrogen.MillilitresWithout));
        Assert.Equal(Int128.Zero, without.TotalNitrogen.WeightedSum);
        Assert.Equal((180_000, 0), (with.VolumeMillilitres, with.TotalNitrogen.MillilitresWithout));
    }

    [Fact]
    public void A_sensor_at_the_pump_is_named_on_the_line_but_its_composition_is_not_placed()
    {
        var (key, amounts) = Assert.Single(Posted(With(Some.Mounted(place: SensorPlace.AtPump)), new Pass(11)));

        Assert.Equal(Some.Sensor, key.SensorId);
        Assert.Equal(new AnalyteSums(0, 300_000), amounts.TotalNitrogen);
    }

    [Fact]
    public void A_sensor_in_a_pit_does_not_count_for_what_is_spread()
    {
        var pit = Some.Mounted(place: SensorPlace.InPit, host: Some.Pit);

        Assert.Equal("", Assert.Single(Posted(With(pit), new Pass(11))).Key.SensorId);
    }

    [Fact]
    public void A_change_of_source_takes_effect_at_its_moment_even_when_recorded_weeks_later()
    {
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Source("south-pit", Some.Morning.AddSeconds(7)),
        ]);
        var lines = Posted(configuration, new Pass(11));

        Assert.Equal(210_000, lines.Single(line => line.Key.PitId == Some.Pit).Value.VolumeMillilitres);
        Assert.Equal(90_000, lines.Single(line => line.Key.PitId == "south-pit").Value.VolumeMillilitres);
    }

    [Fact]
    public void Of_two_events_for_the_same_moment_the_one_recorded_last_wins()
    {
        var moment = Some.Morning.AddDays(-1);
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Source("a", moment),
            Some.Source("b", moment),
        ]);

        Assert.Equal("b", configuration.PitFeeding(Some.DragLine, Some.Morning.ToUnixTimeMilliseconds()));
    }

    [Fact]
    public void A_moment_within_a_millisecond_takes_effect_at_the_next_whole_one()
    {
        var configuration = With(Some.Mounted(Some.Morning.AddTicks(1)));
        var morning = Some.Morning.ToUnixTimeMilliseconds();

        Assert.Null(configuration.SensorFor(Some.DragLine, morning));
        Assert.Equal(Some.Sensor, configuration.SensorFor(Some.DragLine, morning + 1)?.SensorId);
    }

    [Fact]
    public void A_redrawn_boundary_holds_from_midnight_of_its_day_and_not_before()
    {
        var moved = new BoundaryRedrawn(Some.West, Some.Square(northE7: 15_000), new(2026, 4, 14), "Ditch moved");
        var configuration = Some.Configuration([.. Some.ConfigurationEvents(), moved]);
        var midnight = new DateTimeOffset(2026, 4, 14, 0, 0, 0, TimeSpan.FromHours(-5));

        var lines = Posted(configuration, new Pass(11) { Start = midnight.AddSeconds(-5) });

        Assert.Equal(150_000, lines.Single(line => line.Key.FieldId == Some.West).Value.VolumeMillilitres);
        Assert.Equal(150_000, lines.Single(line => line.Key.FieldId.Length == 0).Value.VolumeMillilitres);
    }

    [Fact]
    public void A_field_does_not_exist_before_its_first_boundary()
    {
        IJournalEvent[] events =
        [
            Some.Farm(),
            Some.Applicator(),
            Some.Field(Some.West, Some.Square(), new(2026, 4, 15)),
        ];

        Assert.Equal("", Assert.Single(Posted(Some.Configuration(events), new Pass(11))).Key.FieldId);
    }

    [Fact]
    public void A_method_for_one_field_holds_there_and_a_later_one_for_all_fields_replaces_it()
    {
        var first = Method(SpreadingMethod.TrailingHose, null, 0);
        var there = Method(SpreadingMethod.ClosedSlotInjection, Some.West, 1);
        var later = Method(SpreadingMethod.Broadcast, null, 2);
        var configuration = Some.Configuration(first, there, later);

        Assert.Null(At(-1, Some.West));
        Assert.Equal(first, At(1, Some.East));
        Assert.Equal(there, At(1, Some.West));
        Assert.Equal(later, At(2, Some.West));

        SpreadingMethodRecorded? At(int hours, string field) =>
            configuration.Method(Some.DragLine, field, Some.Morning.AddHours(hours).ToUnixTimeMilliseconds());
    }

    [Fact]
    public void Only_events_that_lines_are_made_of_change_lines()
    {
        Assert.All(
            Some.ConfigurationEvents().Where(@event => @event is not NutrientLedger.Journal.Storage.PitRegistered),
            @event => Assert.True(EventTypes.Of(@event).Changes == EventChanges.Rebuild)
        );
        Assert.False(EventTypes.Of(Method(SpreadingMethod.Broadcast, null, 0)).Changes == EventChanges.Rebuild);
        Assert.False(
            EventTypes.Of(new NutrientPlanSet(Some.West, 2026, NitrogenBasis.Total, 1, 1, 1, "maize")).Changes
                == EventChanges.Rebuild
        );
        Assert.False(EventTypes.Of(Some.Batch(new Pass(1).Drive())).Changes == EventChanges.Rebuild);
    }

    private static SpreadingMethodRecorded Method(SpreadingMethod method, string? field, int hours) =>
        new(Some.DragLine, field, method, null, Some.Morning.AddHours(hours));

    private static FarmConfiguration With(SensorMounted mounted) =>
        Some.Configuration([.. Some.ConfigurationEvents().Where(@event => @event is not SensorMounted), mounted]);

    private static IReadOnlyDictionary<LineKey, LineAmounts> Posted(FarmConfiguration configuration, Pass pass) =>
        Some.Posted(configuration, Some.Batch(pass.Drive())).Lines;
}
