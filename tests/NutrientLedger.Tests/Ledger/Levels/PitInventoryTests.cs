using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Levels;

public class PitInventoryTests
{
    private static readonly long Ten = Some.Morning.ToUnixTimeMilliseconds();

    private static readonly IJournalEvent[] ConfigurationEvents =
    [
        .. Some.ConfigurationEvents(),
        Some.Mounted(null, "radar-1", "level-1", SensorPlace.InPit, Some.Pit),
    ];

    [Fact]
    public void An_hour_keeps_first_last_lowest_highest_number_and_sum_of_its_levels()
    {
        var (key, hour) = Assert.Single(
            Posted(
                Level(Ten + 60_000, 2_400),
                Level(Ten, 2_450),
                Level(Ten + 30_000, 2_500),
                Level(Ten + 40_000, null)
            ).Levels
        );

        Assert.Equal(new(Some.Pit, Ten / 1000), key);
        Assert.Equal(new(Ten, 2_450, Ten + 60_000, 2_400, 2_400, 2_500, 3, 7_350), hour);
    }

    [Fact]
    public void Levels_of_a_device_that_is_mounted_nowhere_are_not_posted() =>
        Assert.Empty(
            Some.Posted(
                Some.Configuration(Some.ConfigurationEvents()),
                new StorageLevelMeasured(new("level-1", 1, 1, [Level(Ten, 2_000)]))
            ).Levels
        );

    [Fact]
    public void A_device_that_moves_to_another_pit_counts_there_from_its_moment_on()
    {
        var moved = Some.Mounted(Some.Morning.AddMinutes(1), "radar-1", "level-1", SensorPlace.InPit, "south-pit");
        var readings = new[] { Level(Ten + 59_999, 2_000), Level(Ten + 60_000, 900) };
        var batch = new StorageLevelMeasured(new("level-1", 1, 1, [.. readings]));

        var levels = Some.Posted(Some.Configuration([.. ConfigurationEvents, moved]), batch).Levels;

        Assert.Equal(2_000, levels.Single(level => level.Key.PitId == Some.Pit).Value.SumMillimetres);
        Assert.Equal(900, levels.Single(level => level.Key.PitId == "south-pit").Value.SumMillimetres);
    }

    [Fact]
    public void A_round_tank_30_metres_wide_holds_what_its_level_says()
    {
        var inventory = Inventory(Posted(Level(Ten + 3_600_000, 1_500), Level(Ten, 2_000)));

        // π/4 × 30² = 706.858 m² of floor; full at 3 m.
        Assert.Equal([1_413.717, 1_060.288], inventory.Levels.Select(level => Math.Round(level.VolumeCubicMetres, 3)));
        Assert.Equal(1.5, inventory.Latest!.LastMetres);
        Assert.Equal(0.5, inventory.ShareFull!.Value, 1e-12);
        Assert.Equal(0, inventory.HoursOutsideShape);
    }

    [Fact]
    public void A_level_outside_the_shape_is_marked_and_gets_a_note()
    {
        var inventory = Inventory(Posted(Level(Ten, 2_000), Level(Ten + 3_600_000, 4_001), Level(Ten + 7_200_000, -1)));

        Assert.Equal([false, true, true], inventory.Levels.Select(level => level.OutsideShape));
        Assert.Equal(2, inventory.HoursOutsideShape);
    }

    [Fact]
    public void All_that_the_meters_counted_is_drawn_whether_it_was_spread_or_not()
    {
        var change = (int i, SpreadReading reading) => reading with { Engaged = i >= 4 };
        var gap = new Pass(2) { StepMilliseconds = 60_000 };
        var silent = new Pass(2)
        {
            Change = (_, x) => x with { TotalMillilitres = null, FlowMillilitresPerSecond = null },
        };
        IJournalEvent[] wagon = [Some.Applicator(Some.Wagon, MeterCounts.Filling), Some.Source(applicator: Some.Wagon)];
        var accumulator = Some.Posted(
            Some.Configuration([.. ConfigurationEvents, .. wagon]),
            Some.Batch(new Pass(11) { Change = change }.Drive()),
            Some.Batch(gap.Drive()),
            Some.Batch(silent.Drive()),
            Some.Batch(new Pass(21).Drive(), id: Some.Wagon)
        );

        Assert.Equal(
            [new DrawnByMeter(Some.DragLine, 0.33, 1), new DrawnByMeter(Some.Wagon, 0.6, 0)],
            Inventory(accumulator).Drawn.AsEnumerable()
        );
    }

    [Fact]
    public void A_pit_nobody_measured_has_no_level()
    {
        var inventory = Inventory(LedgerAddition.None);

        Assert.Null(inventory.Latest);
        Assert.Null(inventory.ShareFull);
        Assert.Empty(inventory.Drawn);
    }

    private static LevelReading Level(long at, int? millimetres) => new(at, millimetres);

    private static LedgerAddition Posted(params LevelReading[] readings) =>
        Some.Posted(
            Some.Configuration(ConfigurationEvents),
            new StorageLevelMeasured(new("level-1", 1, 1, [.. readings]))
        );

    private static PitInventory Inventory(LedgerAddition accumulator)
    {
        var configuration = Some.Configuration(ConfigurationEvents);
        return PitInventory.Of(
            configuration,
            configuration.Pit(Some.Pit)!,
            accumulator.Levels.Select(level => (level.Key, level.Value)),
            accumulator.Lines,
            between: null
        );
    }
}
