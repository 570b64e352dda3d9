using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Tests.Ledger.Configuration;

/// <summary>Which mounting of a sensor holds when, with its hose.</summary>
public class MountedSensorTests
{
    private const long Hose = 29_400_000;

    private static readonly DateTimeOffset Since = Some.Morning.AddDays(-30);

    private static readonly SensorMounted HoseUnknown = Some.Mounted(Since, place: SensorPlace.AtPump);
    private static readonly SensorMounted HoseKnown = HoseUnknown with { HoseMillilitres = Hose };

    [Fact]
    public void Of_two_mountings_at_the_same_moment_the_one_later_in_the_journal_holds()
    {
        Assert.Equal(Hose, HoseAtNoon(HoseUnknown, HoseKnown));
        Assert.Null(HoseAtNoon(HoseKnown, HoseUnknown));
        Assert.Equal(Hose + 1, HoseAtNoon(HoseKnown, HoseUnknown, HoseKnown with { HoseMillilitres = Hose + 1 }));
    }

    [Fact]
    public void Every_moment_has_the_mounting_that_began_last_before_it()
    {
        var configuration = Some.Configuration(
            HoseKnown with
            {
                ValidFrom = Since.AddDays(20),
                HoseMillilitres = 3,
            },
            HoseUnknown,
            HoseUnknown with
            {
                ValidFrom = Since.AddDays(30),
            },
            HoseKnown with
            {
                ValidFrom = Since.AddDays(10),
                HoseMillilitres = 1,
            }
        );

        Assert.Equal(
            [null, 1, 3, null],
            new[] { 0, 10, 20, 30 }.Select(day =>
                configuration.SensorFor(Some.DragLine, Since.AddDays(day).ToUnixTimeMilliseconds())!.HoseMillilitres
            )
        );
        Assert.Equal([3, null, null, 1], configuration.Sensors.Select(mounted => mounted.HoseMillilitres));
    }

    [Fact]
    public void The_hose_changes_no_line()
    {
        var batch = Some.Batch(new Pass(11).Drive());

        Assert.Equal(Lines(HoseUnknown), Lines(HoseKnown));

        IEnumerable<KeyValuePair<LineKey, LineAmounts>> Lines(IJournalEvent mounted) =>
            Some.Posted(With(mounted), batch).Lines;
    }

    [Fact]
    public void A_level_sensor_with_a_hose_still_measures_its_pit()
    {
        // No import writes a hose for a level sensor. If the journal holds one, the sensor still measures its pit.
        var inPit = new SensorMounted("level", "gauge", SensorPlace.InPit, Some.Pit, Since, 1);

        Assert.Equal(Some.Pit, Some.Configuration(inPit).PitMeasuredBy("gauge", Some.Morning.ToUnixTimeMilliseconds()));
    }

    // Two sensors 30 cm apart would otherwise show liquid coming and going in every hour.
    [Fact]
    public void Of_two_level_sensors_the_one_mounted_last_measures_the_pit()
    {
        var noon = Some.Morning.ToUnixTimeMilliseconds();
        var configuration = Some.Configuration(
            new SensorMounted("old", "old-gauge", SensorPlace.InPit, Some.Pit, Since),
            new SensorMounted("new", "new-gauge", SensorPlace.InPit, Some.Pit, Some.Morning)
        );

        Assert.Equal(
            (Some.Pit, null),
            (configuration.PitMeasuredBy("old-gauge", noon - 1), configuration.PitMeasuredBy("new-gauge", noon - 1))
        );
        Assert.Equal(
            (null, Some.Pit),
            (configuration.PitMeasuredBy("old-gauge", noon), configuration.PitMeasuredBy("new-gauge", noon))
        );
    }

    [Fact]
    public void A_level_sensor_moved_to_another_pit_leaves_the_one_before_to_nobody()
    {
        var noon = Some.Morning.ToUnixTimeMilliseconds();
        var configuration = Some.Configuration(
            new SensorMounted("level", "gauge", SensorPlace.InPit, Some.Pit, Since),
            new SensorMounted("level", "gauge", SensorPlace.InPit, "other-pit", Some.Morning)
        );

        Assert.Equal(
            (Some.Pit, "other-pit"),
            (configuration.PitMeasuredBy("gauge", noon - 1), configuration.PitMeasuredBy("gauge", noon))
        );
    }

    private static long? HoseAtNoon(params IJournalEvent[] mountings) =>
        Some.Configuration(mountings).SensorFor(Some.DragLine, Some.Morning.ToUnixTimeMilliseconds())!.HoseMillilitres;

    private static FarmConfiguration With(IJournalEvent mounted) =>
        Some.Configuration([.. Some.ConfigurationEvents().Where(@event => @event is not SensorMounted), mounted]);
}
