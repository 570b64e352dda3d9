using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Tests.Ledger.Configuration;

/// <summary>A mounting has two stored shapes; the register knows one fact, in whichever shape it was stored.</summary>
public class MountedSensorTests
{
    private const long Hose = 29_400_000;

    private static readonly DateTimeOffset Since = Some.Morning.AddDays(-30);

    private static readonly IJournalEvent Old = Some.Mounted(Since, place: SensorPlace.AtPump);
    private static readonly IJournalEvent New = WithHose(Since, Hose);

    [Fact]
    public void Both_shapes_are_the_same_fact_and_the_older_one_does_not_know_the_hose()
    {
        var (old, fresh) = (MountedSensor.Of(Old)!, MountedSensor.Of(New)!);

        Assert.Equal(new(Some.Sensor, Some.DragLine, SensorPlace.AtPump, Some.DragLine, Since, null), old);
        Assert.Equal(old with { HoseMillilitres = Hose }, fresh);
        Assert.Null(MountedSensor.Of(Some.Farm()));
    }

    [Fact]
    public void Of_both_shapes_at_the_same_moment_the_one_later_in_the_journal_holds()
    {
        Assert.Equal(Hose, HoseAtNoon(Old, New));
        Assert.Null(HoseAtNoon(New, Old));
        Assert.Equal(Hose + 1, HoseAtNoon(New, Old, WithHose(Since, Hose + 1)));
    }

    [Fact]
    public void In_a_mixed_journal_every_moment_has_the_mounting_that_came_last_before_it()
    {
        var register = Some.Register(
            WithHose(Since.AddDays(20), 3),
            Some.Mounted(Since, place: SensorPlace.AtPump),
            Some.Mounted(Since.AddDays(30), place: SensorPlace.AtPump),
            WithHose(Since.AddDays(10), 1)
        );

        Assert.Equal(
            [null, 1, 3, null],
            new[] { 0, 10, 20, 30 }.Select(day =>
                register.SensorFor(Some.DragLine, Since.AddDays(day).ToUnixTimeMilliseconds())!.HoseMillilitres
            )
        );
        Assert.Equal([3, null, null, 1], register.Sensors.Select(mounted => mounted.HoseMillilitres));
    }

    [Fact]
    public void Lines_are_posted_alike_from_both_shapes()
    {
        var pack = Some.Pack(new Pass(11).Drive());

        Assert.Equal(Lines(Old), Lines(New));
        Assert.True(FarmConfiguration.ChangesLines(New));

        IEnumerable<KeyValuePair<LineKey, LineAmounts>> Lines(IJournalEvent mounted) =>
            Some.Posted(With(mounted), pack).Lines;
    }

    [Fact]
    public void A_level_sensor_is_one_in_both_shapes()
    {
        // Nothing writes a hose for a level sensor; should the journal hold one all the same, it measures its pit.
        var inPit = new SensorMountedWithHose("level", "gauge", SensorPlace.InPit, Some.Pit, Since, 1);

        Assert.Equal(Some.Pit, Some.Register(inPit).PitMeasuredBy("gauge", Some.Morning.ToUnixTimeMilliseconds()));
    }

    [Fact]
    public void A_statement_tells_of_the_hose()
    {
        var cause = StatementCause.Of(New, Some.Register(Some.Entries()), Some.Recorded, 12);

        Assert.Equal("sensor_mounted_with_hose", cause.Kind);
        Assert.EndsWith("on, 29.4 m³ of hose before the ground.", cause.What, StringComparison.Ordinal);
    }

    private static SensorMountedWithHose WithHose(DateTimeOffset from, long millilitres) =>
        new(Some.Sensor, Some.DragLine, SensorPlace.AtPump, Some.DragLine, from, millilitres);

    private static long? HoseAtNoon(params IJournalEvent[] mountings) =>
        Some.Register(mountings).SensorFor(Some.DragLine, Some.Morning.ToUnixTimeMilliseconds())!.HoseMillilitres;

    private static FarmConfiguration With(IJournalEvent mounted) =>
        Some.Register([.. Some.Entries().Where(entry => entry is not SensorMounted), mounted]);
}
