using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>Which error a measurement at a pit has: its own, the pit's, the farm's or the default one.</summary>
public class PitDeviationsTests
{
    private static readonly PitRegistered Pit = new("tank", "Tank", new RoundTank(20_000, 5_000), 4_500);
    private static readonly DateOnly First = new(2026, 4, 21);
    private static readonly DefaultDeviationsSet OfTheFarm = new(
        null,
        First,
        [
            new(PitMeasurement.HandLoads, 10_000, "the weighbridge"),
            new(PitMeasurement.LevelSensor, 2_000_000, "a ruler"),
        ]
    );

    public static TheoryData<PitMeasurement> Measurements => [.. Enum.GetValues<PitMeasurement>()];

    [Theory]
    [MemberData(nameof(Measurements))]
    public void Every_measurement_has_a_default_error_that_says_where_it_is_known_from(PitMeasurement of)
    {
        var known = PitDeviations.Default(of);
        Assert.True(known.Size > 0);
        Assert.True(known.KnownFrom.Length > 10, known.KnownFrom);
    }

    /// <summary>19 m³ of loads: the default 4 % are 0.76 m³; 1 % is 0.19 m³.</summary>
    [Fact]
    public void The_farms_own_error_holds_from_its_day_on_and_is_named_as_the_farms_own()
    {
        Assert.Equal(
            (760_000, "common practice, no source: count × fill volume × share filled"),
            Loads(First.AddDays(-1), OfTheFarm)
        );
        Assert.Equal((190_000, "the farm's own, from the weighbridge"), Loads(First, OfTheFarm));
    }

    [Fact]
    public void A_pits_own_error_goes_before_the_farms_and_what_it_leaves_out_is_still_the_farms()
    {
        var ofThePit = new DefaultDeviationsSet(
            "tank",
            First,
            [new(PitMeasurement.HandLoads, 20_000, "counted twice")]
        );
        var elsewhere = ofThePit with
        {
            PitId = "pond",
            Deviations = [new(PitMeasurement.HandLoads, 30_000, "elsewhere")],
        };

        Assert.Equal((380_000, "the farm's own, from counted twice"), Loads(First, ofThePit, OfTheFarm, elsewhere));
        var sensor = Input(First, ofThePit, OfTheFarm).Sensor!;
        Assert.Equal("the farm's own, from a ruler", sensor.KnownFrom);
        // Two readings of 2 mm each on π/4 × 20² = 314.159 m² of surface; the level does not change, so the shape adds
        // nothing.
        Assert.Equal(Math.Sqrt(2) * 0.002 * Math.PI * 100 * 1e6, sensor.DeviationMillilitres, 0.5);
    }

    [Fact]
    public void A_later_set_replaces_the_earlier_one_altogether()
    {
        var later = new DefaultDeviationsSet(
            null,
            First.AddDays(3),
            [new(PitMeasurement.Rain, 300_000, "a new gauge")]
        );
        Assert.Equal(760_000, Loads(First.AddDays(3), OfTheFarm, later).Deviation);
        Assert.Equal(190_000, Loads(First.AddDays(2), later, OfTheFarm).Deviation);
    }

    [Fact]
    public void An_error_stated_with_the_measurement_goes_before_all_others()
    {
        var loads = new LoadsHauled(
            "R. Field",
            At(First),
            "tank",
            null,
            null,
            1,
            19_000_000,
            1_000,
            new(55_000, DeviationSource.Judged)
        );
        var measured = Assert.Single(Input(First, OfTheFarm, loads).Outflow, it => it.DeviationMillilitres == 55_000);
        Assert.Equal("stated: judged by whoever measured", measured.KnownFrom);
    }

    [Fact]
    public void An_error_is_at_least_a_litre_and_not_a_cubic_metre()
    {
        var tiny = new LoadsHauled("R. Field", At(First), "tank", null, null, 1, 2_000, 1_000, null);
        var measured = Input(First, tiny)
            .Outflow.Single(it => it.Measurement.StartsWith("hand", StringComparison.Ordinal));
        Assert.Equal(1_000, measured.DeviationMillilitres);
        Assert.Equal("hand loads 1 (×1)", measured.Measurement);
    }

    private static (long Deviation, string KnownFrom) Loads(DateOnly day, params IJournalEvent[] events)
    {
        var loads = new LoadsHauled("R. Field", At(day), "tank", null, null, 1, 19_000_000, 1_000, null);
        var measured = Assert.Single(
            Input(day, [.. events, loads]).Outflow,
            it => it.Measurement.StartsWith("hand loads", StringComparison.Ordinal)
        );
        return (measured.DeviationMillilitres, measured.KnownFrom);
    }

    private static DateTimeOffset At(DateOnly day) => new(day, new(12, 0), TimeSpan.FromHours(-5));

    private static PitBalanceInput Input(DateOnly day, params IJournalEvent[] events)
    {
        var configuration = events.Aggregate(
            FarmConfiguration
                .Empty.With(
                    new FarmRegistered("Test", "America/Chicago", 10, 1, new(2025, 10, 1), new CoverageGrid(90, 124))
                )
                .With(Pit),
            (so, @event) => so.With(@event)
        );
        var (start, end) = (configuration.Calendar!.StartOf(day), configuration.Calendar.StartOf(day.AddDays(1)));
        var levels = CleanedLevels.Of([new(start, 3_000), new(end, 3_000)]);
        return ReconciledPitPeriod.Of(new(configuration, Pit, start, end, [], levels, [], [])).Reconciliation.Input;
    }
}
