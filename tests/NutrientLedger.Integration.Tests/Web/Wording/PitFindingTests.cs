using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger.Storage;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Integration.Tests.Web.Wording;

/// <summary>The result of a reconciliation, in sentences.</summary>
public class PitFindingTests
{
    private static readonly MeasuredVolume Inflow = new("manure inflow", 6_000_000, 800_000, "invented");

    [Fact]
    public void A_period_without_any_measurement_is_called_that() =>
        Assert.Equal(
            "Nothing was measured or recorded for this pit in this time.",
            PitFinding.Of(PitReconciliation.Of(new(null, null, [], [], [])))
        );

    [Fact]
    public void A_stock_that_contradicts_all_other_measurements_is_named_with_both() =>
        Assert.Contains(
            "the level sensor says that the content rose by 62.8 m³, the other measurements that it rose by 6.0 m³",
            PitFinding.Of(Moved(-62_800_000)),
            StringComparison.Ordinal
        );

    [Fact]
    public void Two_measurements_that_only_check_each_other_are_both_named()
    {
        var reconciliation = PitReconciliation.Of(
            new(
                null,
                null,
                [],
                [],
                [
                    new(
                        new("the flow meter of line", 120_000_000, 600_000, "invented"),
                        new("area × set rate of line", 100_000_000, 600_000, "invented")
                    ),
                ]
            )
        );
        var words = PitFinding.Of(reconciliation, cubicMetres => FormattableString.Invariant($"{cubicMetres:0} cubes"));

        Assert.StartsWith("The measurements cannot distinguish: ", words, StringComparison.Ordinal);
        Assert.Contains(
            "the flow meter of line says 20.0 % more than the other measurements allow (120 cubes against 100 cubes)",
            words,
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData(70, true, "In 8 hours without drawing, loads, transfers or rain the level fell by 76.0 m³")]
    [InlineData(70, true, "the level sensor drifts, or the pit leaks")]
    [InlineData(-70, true, "the level rose by 64.0 m³ more than inflow explains")]
    [InlineData(-70, false, "unmeasured rain fell, or an inflow was not recorded")]
    public void A_level_that_moves_while_nothing_is_drawn_names_sensor_and_pit(
        int fell,
        bool rainIsKnown,
        string words
    ) =>
        Assert.Contains(
            words,
            PitFinding.OfIdle(new IdleStretch(0, 8 * 3_600_000, rainIsKnown, Moved(fell * 1_000_000L))),
            StringComparison.Ordinal
        );

    /// <summary>
    /// A pit of 900 m³ whose sensor shows a fall of so many mL, while 6 m³ ran in and nothing was drawn.
    /// </summary>
    private static PitReconciliation Moved(long fellMillilitres) =>
        PitReconciliation.Of(
            new(
                new("the level sensor", 900_000_000, 900_000_000 - fellMillilitres, 600_000, "invented"),
                null,
                [Inflow],
                [],
                []
            )
        );
}
