using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Tests.Ledger.Posting;

/// <summary>
/// A pass north has ten intervals of 30 L. Their midpoints lie 1,090, 1,270, … 2,710 steps north of the corner.
/// </summary>
public class NoSpreadZoneTests
{
    /// <summary>
    /// The midpoint of the fourth interval, which is on the edge of the zones that begin or end there.
    /// </summary>
    private const int FourthE7 = 1_630;

    private static readonly NoSpreadZoneRegistered South = Some.Zone(
        "south",
        Some.Square(northE7: FourthE7 - Some.SideE7)
    );

    private static readonly NoSpreadZoneRegistered North = Some.Zone("north", Some.Square(northE7: FourthE7));

    private static readonly NoSpreadZoneRegistered Whole = Some.Zone("whole", Some.Square());

    [Fact]
    public void The_midpoint_of_an_interval_decides_and_one_on_a_shared_edge_is_in_one_zone_only()
    {
        Assert.Equal((3, 90_000), Inside(South));
        Assert.Equal((7, 210_000), Inside(North));
        Assert.Equal((10, 300_000), Inside(South, North));
    }

    [Fact]
    public void Where_zones_overlap_the_volume_counts_once() =>
        Assert.Equal((10, 300_000), Inside(Whole, North, South));

    [Fact]
    public void A_zone_is_in_force_from_its_first_day_on_to_before_its_last()
    {
        // Half of the pass lies before midnight.
        var pass = new Pass(11) { Start = Some.Morning.AddHours(14).AddSeconds(-5) };

        Assert.Equal((5, 150_000), Inside(pass, Whole with { ValidTo = new(2026, 4, 15) }));
        Assert.Equal((5, 150_000), Inside(pass, Whole with { ValidFrom = new(2026, 4, 15) }));
        Assert.Equal(default, Inside(pass, Whole with { ValidTo = new(2026, 4, 14) }));
        Assert.Equal(default, Inside(pass, Whole with { ValidFrom = new(2026, 4, 16) }));
    }

    [Fact]
    public void A_zone_registered_again_is_replaced_for_all_time()
    {
        Assert.Equal(default, Inside(Whole, Whole with { ValidTo = new(2026, 4, 14) }));
        Assert.Equal((3, 90_000), Inside(Whole, South with { ZoneId = Whole.ZoneId, ValidFrom = new(2026, 4, 1) }));
    }

    [Fact]
    public void A_zone_across_two_fields_and_beyond_is_stated_on_each_and_subtracted_from_none()
    {
        var zone = Some.Zone("strip", Some.Square(eastE7: 10_000, sideE7: 40_000));
        int[] east = [15_000, 25_000, 45_000];

        var lines = Some.Posted(
            Some.Configuration([.. Some.ConfigurationEvents(), zone]),
            east.Select(
                (eastE7, boot) =>
                    Some.Batch(
                        new Pass(11)
                        {
                            From = Some.Corner with { LongitudeE7 = Some.Corner.LongitudeE7 + eastE7 },
                        }.Drive(),
                        boot: boot
                    )
            )
        ).Lines;

        Assert.Equal(["", Some.East, Some.West], lines.Keys.Select(key => key.FieldId).Order(StringComparer.Ordinal));
        Assert.All(
            lines.Values,
            line => Assert.Equal((300_000, 300_000), (line.VolumeMillilitres, line.InNoSpreadZones!.VolumeMillilitres))
        );
    }

    [Fact]
    public void What_is_in_a_zone_is_no_flagged_reading()
    {
        var spread = SpreadAmounts.Of(FarmConfiguration.Empty, Posted(new Pass(11), Whole));

        Assert.Equal(0.3, spread.InNoSpreadZones!.VolumeCubicMetres);
        Assert.Equal(0, spread.FlaggedShare);
        Assert.Empty(spread.FlaggedByRule);
    }

    [Fact]
    public void A_raised_tool_spreads_nothing_in_a_zone()
    {
        var raised = new Pass(11) { Change = (_, reading) => reading with { Engaged = false } };

        Assert.Null(SpreadAmounts.Of(FarmConfiguration.Empty, Posted(raised, Whole)).InNoSpreadZones);
    }

    /// <summary>90 L with 4 g/L N as measured: 4 × 1.1 − 0.1 is 4.3 g/L, and 0.8 g/L P is not calibrated.</summary>
    [Fact]
    public void Nutrients_in_a_zone_are_those_of_the_calibrations_in_force()
    {
        var adopted = new CalibrationAdopted(
            "c",
            Some.Sensor,
            Analyte.TotalNitrogen,
            1_100_000,
            -100_000,
            Some.Morning.AddDays(-1),
            null,
            null,
            [],
            "Ada Ash",
            "Laboratory"
        );

        var inside = SpreadAmounts.Of(Some.Configuration(adopted), Posted(new Pass(11), South)).InNoSpreadZones!;

        Assert.Equal(0.090 * 4.3, inside.TotalNitrogen.Kilograms, 1e-12);
        Assert.Equal(0.090 * 0.8 * 2.2910, inside.P2O5Kilograms, 1e-12);
    }

    private static (long Intervals, long Millilitres) Inside(params NoSpreadZoneRegistered[] zones) =>
        Inside(new Pass(11), zones);

    private static (long Intervals, long Millilitres) Inside(Pass pass, params NoSpreadZoneRegistered[] zones)
    {
        var sums = Posted(pass, zones).Values.Aggregate(FlaggedParts.None, (sum, line) => sum + line.Flagged);
        return (sums[FlagRule.InsideNoSpreadZone].Intervals, sums[FlagRule.InsideNoSpreadZone].Millilitres);
    }

    private static IReadOnlyDictionary<LineKey, LineAmounts> Posted(Pass pass, params NoSpreadZoneRegistered[] zones) =>
        Some.Posted(Some.Configuration([.. Some.ConfigurationEvents(), .. zones]), Some.Batch(pass.Drive())).Lines;
}
