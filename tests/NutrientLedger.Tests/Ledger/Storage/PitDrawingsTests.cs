using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>What an applicator drew: by its meter, and by the area it travelled times its set rate.</summary>
public class PitDrawingsTests
{
    private static readonly DateTimeOffset Midnight = new(2026, 4, 21, 0, 0, 0, TimeSpan.FromHours(-5));
    private static readonly PitRegistered Pit = new("tank", "Tank", new RoundTank(20_000, 5_000), 4_500);

    private static readonly FarmConfiguration Farm = new IJournalEvent[]
    {
        new FarmRegistered("Test", "America/Chicago", 10, 1, new(2025, 10, 1), new CoverageGrid(90, 124)),
        Pit,
        new SpreadingRateSet("R. Field", "line", null, 20_000_000, Midnight.AddDays(-1), null),
    }.Aggregate(FarmConfiguration.Empty, (configuration, @event) => configuration.With(@event));

    /// <summary>
    /// Arithmetic: 3 ha at 20 m³/ha are 60 m³. The volume pumped with the tool raised (3 m³) and the volume without a
    /// known place (4 and 1 m³) left the pit too, though no area shows it. The usual 3 % of a set rate apply to the 60
    /// m³ only: 1.8 m³.
    /// </summary>
    [Fact]
    public void Volume_that_shows_in_no_area_is_added_to_what_the_set_rate_says()
    {
        var drawing = Drawing(
            Line(
                9,
                new()
                {
                    VolumeMillilitres = 61_000_000,
                    DisengagedMillilitres = 3_000_000,
                    NotPlacedMillilitres = 4_000_000,
                    AreaTravelledSquareCentimetres = 300_000_000,
                }
            ),
            Line(10, new() { NotPlacedMillilitres = 1_000_000 })
        );

        Assert.Equal(69_000_000, drawing.Metered.Millilitres);
        Assert.Equal((68_000_000, 1_800_000), (drawing.ByRate!.Millilitres, drawing.ByRate.DeviationMillilitres));
    }

    private static MeasuredDraw Drawing(params KeyValuePair<LineKey, LineAmounts>[] lines)
    {
        var (start, end) = (Midnight.ToUnixTimeMilliseconds(), Midnight.AddDays(1).ToUnixTimeMilliseconds());
        var period = new PitPeriod(Farm, Pit, start, end, lines, CleanedLevels.Of([]), [], []);
        return Assert.Single(ReconciledPitPeriod.Of(period).Reconciliation.Input.Draws);
    }

    private static KeyValuePair<LineKey, LineAmounts> Line(int hour, LineAmounts amounts) =>
        new(new("east", 2026, Midnight.AddHours(hour).ToUnixTimeSeconds(), "line", "tank", ""), amounts);
}
