using NutrientLedger.Agronomy.Storage;

namespace NutrientLedger.Tests.Agronomy.Storage;

public sealed class PitReconciliationTests
{
    // One check: a level known to 0.6 m³ fell while 0 ± 0.8 m³ ran in, together 0 ± 1 m³. Limits of chi-square with one
    // degree of freedom: 3.841 at 0.05 and 10.828 at 0.001 (standard table, from memory), or 1.9600 and 3.2905
    // deviations. The chances that separate the results are common practice, no source.
    [Theory]
    [InlineData(1_959_000, PitClosure.Closes)]
    [InlineData(1_961_000, PitClosure.Warning)]
    [InlineData(3_290_000, PitClosure.Warning)]
    [InlineData(3_291_000, PitClosure.DoesNotClose)]
    [InlineData(-3_290_000, PitClosure.Warning)]
    [InlineData(-3_291_000, PitClosure.DoesNotClose)]
    public void A_pit_gives_a_warning_from_5_of_100_cases_and_does_not_close_from_1_of_1000(
        long fell,
        PitClosure closure
    )
    {
        var stock = new MeasuredStock("the level sensor", 900_000_000 + fell, 900_000_000, 600_000, "invented");
        var inflow = new MeasuredVolume("manure inflow", 0, 800_000, "invented");

        var reconciliation = PitReconciliation.Of(new(stock, null, [inflow], [], []));

        Assert.Equal(1, reconciliation.Balance!.DegreesOfFreedom);
        Assert.Equal(closure, reconciliation.Closure);
    }

    // Nothing runs in or out, so the level must stay; a fall of 4 deviations is beyond chance (normal table, from
    // memory).
    [Fact]
    public void A_level_that_drifts_with_nothing_flowing_is_itself_the_suspected_error()
    {
        var stock = new MeasuredStock("the level sensor", 904_000_000, 900_000_000, 1_000_000, "invented");

        var reconciliation = PitReconciliation.Of(new(stock, null, [], [], []));

        Assert.Equal(PitClosure.DoesNotClose, reconciliation.Closure);
        var suspected = Assert.Single(reconciliation.SuspectedErrors);
        Assert.Equal(
            (stock.Measurement, 4.0, 0.0),
            (suspected.Measurement, suspected.Measured, suspected.EstimateFromOthers)
        );
    }
}
