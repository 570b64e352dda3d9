using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>
/// One false alarm in twenty periods, divided evenly among the idle stretches of a period. Bonferroni's inequality,
/// from memory: n tests at a chance of 0.05/n each raise a false alarm with a chance of 0.05 at most.
/// </summary>
public class IdleChanceTests
{
    // Two-sided normal limits, from memory: 0.05 at 1.960 deviations, 0.05/2 at 2.241, 0.05/4 at 2.498.
    [Theory]
    [InlineData(1, 1_959_000, false)]
    [InlineData(1, 1_961_000, true)]
    [InlineData(2, 2_241_000, false)]
    [InlineData(2, 2_242_000, true)]
    [InlineData(4, 2_497_000, false)]
    [InlineData(4, 2_498_000, true)]
    public void The_more_stretches_the_further_one_of_them_must_move(int stretches, long fellMillilitres, bool moving)
    {
        IdleStretch[] all = [Stretch(fellMillilitres), .. Enumerable.Repeat(Stretch(0), stretches - 1)];

        Assert.Equal(all.Take(moving ? 1 : 0), IdleStretch.Moving(all));
    }

    /// <summary>A level known to 0.6 m³ and an inflow of 0 ± 0.8 m³: together 0 ± 1 m³.</summary>
    private static IdleStretch Stretch(long fellMillilitres)
    {
        var stock = new MeasuredStock(
            "the level sensor",
            900_000_000 + fellMillilitres,
            900_000_000,
            600_000,
            "invented"
        );
        var inflow = new MeasuredVolume("manure inflow", 0, 800_000, "invented");
        return new(0, 18_000_000, RainIsKnown: true, PitReconciliation.Of(new(stock, null, [inflow], [], [])));
    }
}
