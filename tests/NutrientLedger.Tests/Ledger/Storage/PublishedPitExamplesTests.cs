using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>
/// Printed examples of storages through a pit's reconciliation, given as recorded levels, tape readings, daily inflow.
/// Lengths in feet become whole millimetres in the configuration and in readings. Depths between two millimetres come
/// as the mean of several readings.
/// </summary>
public class PublishedPitExamplesTests
{
    private const string Pit = "storage";
    private static readonly DateTimeOffset Begin = new(2025, 12, 1, 0, 0, 0, TimeSpan.FromHours(-6));

    // USDA NRCS, Agricultural Waste Management Field Handbook, chapter 10, worksheet 10A-2 (seen): slopes 3:1, floor
    // 100 ft wide. Tolerance 1 ft³.
    [Theory]
    [InlineData(400, 6.0, 296_592)]
    [InlineData(425, 6.0, 314_292)]
    [InlineData(425, 6.2, 326_903)]
    public void P17_a_pond_drawn_from_its_design_depth_to_its_floor_gives_the_printed_volume(
        double lengthFeet,
        double depthFeet,
        double printedCubicFeet
    )
    {
        var pond = new RectangularBasin(Millimetres(lengthFeet), Millimetres(100), 3_000, Millimetres(8));
        var stock = Period(pond, 1, depthFeet, 0).Reconciliation.Input.Sensor!;
        Assert.Equal(printedCubicFeet, CubicFeet(stock.DrawnDownMillilitres), 1.0);
    }

    // The same worksheet: 248,040 ft³ of manure and 75,600 ft³ of wastewater need 323,640 ft³. Tolerance 1 ft³. The
    // pond of 425 by 100 ft holds it at 6.2 ft, not at 6 ft.
    [Fact]
    public void P17_manure_and_wastewater_add_up_to_the_printed_requirement_and_fit_the_last_pond_only()
    {
        Assert.Equal(323_640, In(6.2), 1.0);
        Assert.True(Holds(6.2) > In(6.2));
        Assert.True(Holds(6.0) < In(6.0));

        static double Holds(double depthFeet) => CubicFeet(Design(depthFeet).Sensor!.StartMillilitres);
        static double In(double depthFeet) => CubicFeet(Design(depthFeet).Inflow.Sum(measured => measured.Millilitres));
        static PitBalanceInput Design(double depthFeet) =>
            Period(
                new RectangularBasin(Millimetres(425), Millimetres(100), 3_000, Millimetres(8)),
                1,
                depthFeet,
                0,
                Measured(InflowKind.Manure, 248_040),
                Measured(InflowKind.WashWater, 75_600)
            ).Reconciliation.Input;
    }

    // Same handbook, design example 10-2 (seen): 1.30 ft³ a day and animal unit of 1,000 lb over 90 days; 100 cows of
    // 1,400 lb are 140 units and give 16,380 ft³, 52 heifers of 1,000 lb 6,084 ft³, together 22,464 ft³. Tolerance 1
    // ft³.
    [Theory]
    [InlineData(140, 16_380)]
    [InlineData(52, 6_084)]
    [InlineData(192, 22_464)]
    public void P18_daily_inflow_over_ninety_days_gives_the_printed_volume(int animalUnits, double printedCubicFeet)
    {
        var input = Period(Stack, 90, 7, 7, Daily(animalUnits)).Reconciliation.Input;
        Assert.Equal(printedCubicFeet, CubicFeet(Assert.Single(input.Inflow).Millilitres), 1.0);
    }

    // With 2,232 ft³ of bedding 24,696 ft³, in a stack 88.2 ft long and 7 ft high (seen; the width of 40 ft is
    // inferred). Tolerance 1 ft³. Bedding is inflow of manure and replaces the daily inflow while it is brought in: one
    // minute, which is 0.2 ft³. A stack has no level, so its length cannot come out of a reconciliation; the printed
    // one goes in.
    [Fact]
    public void P18_manure_and_bedding_fill_a_stack_of_the_printed_length_to_seven_feet()
    {
        var input = Period(Stack, 90, 7, 7, Daily(192), Measured(InflowKind.Manure, 2_232)).Reconciliation.Input;
        Assert.Equal(24_696, CubicFeet(Assert.Single(input.Inflow).Millilitres), 1.0);
        Assert.Equal(24_696, CubicFeet(input.Sensor!.StartMillilitres), 1.0);
    }

    // Alberta Agriculture and Food, Nutrient Management Planning Guide (Agdex 400/28-3, 2007), p. 134 (seen): wall 8.7
    // m, freeboard 2.1 m, slope 70° give 6.2 m of depth. Tolerance 0.05 m.
    [Fact]
    public void P19_the_printed_tape_reading_is_handled_like_every_tape_reading()
    {
        var input = Period(
            new RoundTank(20_000, 10_000),
            1,
            0,
            0,
            Tape(7, 2_100),
            Tape(17, 2_600)
        ).Reconciliation.Input;
        Assert.Equal(6.2, input.Tape!.StartMillilitres / 1e6 / (Math.PI * 100), 0.05);
    }

    // A consumer how-to page on the gallons in a round tank (ehow.co.uk, no. 5991406, seen), diameter 22 ft, depth 10
    // ft: 3,801.46 ft³ and 28,397 gal, with π taken as 3.1417 and 7.47 gallons to the cubic foot. Tolerance 0.15 %.
    [Fact]
    public void P20_a_round_tank_emptied_from_ten_feet_gives_the_printed_volume_within_the_pages_own_roundings()
    {
        var stock = Period(new RoundTank(Millimetres(22), Millimetres(12)), 1, 10, 0).Reconciliation.Input.Sensor!;
        Assert.Equal(3_801.46, CubicFeet(stock.DrawnDownMillilitres), 0.0015 * 3_801.46);
        Assert.Equal(28_397, stock.DrawnDownMillilitres / 1e6 / Definitions.CubicMetresPerUsGallon, 0.0015 * 28_397);
    }

    private static readonly CoveredPit Stack = new(Millimetres(88.2), Millimetres(40), Millimetres(8));

    private static int Millimetres(double feet) => (int)Math.Round(feet * Definitions.MetresPerFoot * 1000);

    private static double CubicFeet(long millilitres) => millilitres / 1e6 / Definitions.CubicMetresPerCubicFoot;

    private static long Millilitres(double cubicFeet) =>
        (long)Math.Round(cubicFeet * Definitions.CubicMetresPerCubicFoot * 1e6);

    private static PitInflowMeasured Measured(InflowKind kind, double cubicFeet) =>
        new("R. Field", Pit, kind, Begin.AddHours(1), Begin.AddHours(1).AddMinutes(1), Millilitres(cubicFeet), null);

    private static DailyInflowSet Daily(int animalUnits) =>
        new("R. Field", Pit, InflowKind.Manure, animalUnits, Millilitres(1.30), Begin.AddDays(-1), null);

    private static LevelTaped Tape(int hour, int freeboardMillimetres) =>
        new("R. Field", Begin.AddHours(hour), Pit, 8_700, freeboardMillimetres, 70_000, null);

    // A hundred readings within a quarter of an hour around a moment. Some are a millimetre higher, so that their mean
    // is the depth.
    private static IEnumerable<LevelAt> Readings(long around, double depthFeet)
    {
        var millimetres = depthFeet * Definitions.MetresPerFoot * 1000;
        var higher = (int)Math.Round((millimetres - Math.Floor(millimetres)) * 100);
        for (var count = 0; count < 100; count++)
            yield return new(around + (count - 50) * 10_000L, (int)Math.Floor(millimetres) + (count < higher ? 1 : 0));
    }

    private static ReconciledPitPeriod Period(
        PitShape shape,
        int days,
        double startFeet,
        double endFeet,
        params IJournalEvent[] events
    )
    {
        var pit = new PitRegistered(Pit, "Storage", shape, shape.DepthMillimetres);
        var configuration = events.Aggregate(
            FarmConfiguration
                .Empty.With(
                    new FarmRegistered("Test", "America/Chicago", 10, 1, new(2025, 10, 1), new CoverageGrid(90, 124))
                )
                .With(pit),
            (so, @event) => so.With(@event)
        );
        var (start, end) = (Begin.ToUnixTimeMilliseconds(), Begin.AddDays(days).ToUnixTimeMilliseconds());
        var levels = CleanedLevels.Of(Readings(start, startFeet).Concat(Readings(end, endFeet)));
        return ReconciledPitPeriod.Of(new(configuration, pit, start, end, [], levels, [], []));
    }
}
