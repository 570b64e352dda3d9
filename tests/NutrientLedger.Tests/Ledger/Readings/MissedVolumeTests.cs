using NutrientLedger.Ledger.Readings;

namespace NutrientLedger.Tests.Ledger.Readings;

/// <summary>What ran through a meter while readings were missing.</summary>
public class MissedVolumeTests
{
    private static readonly MeterMark Before = new(Some.Morning, 900);
    private static readonly MeterMark After = new(Some.Morning.AddMinutes(10), 1_400);

    [Fact]
    public void It_is_the_difference_of_the_running_totals() => Assert.Equal(500, Metered(null, Before, After));

    [Fact]
    public void A_meter_that_begins_again_at_its_modulus_is_read_across() =>
        Assert.Equal(200, Metered(1_000, Before, After with { TotalMillilitres = 100 }));

    [Fact]
    public void Without_both_sides_and_their_totals_it_is_unknown()
    {
        Assert.Null(Metered(null, null, After));
        Assert.Null(Metered(null, Before, null));
        Assert.Null(Metered(null, Before with { TotalMillilitres = null }, After));
        Assert.Null(Metered(null, Before, After with { TotalMillilitres = null }));
    }

    [Fact]
    public void The_sum_is_of_what_is_known()
    {
        Assert.Equal(7, MissedVolume.Sum([3, null, 4]));
        Assert.Equal(0, MissedVolume.Sum([0]));
        Assert.Null(MissedVolume.Sum([null]));
        Assert.Null(MissedVolume.Sum([]));
    }

    private static long? Metered(long? modulus, MeterMark? before, MeterMark? after) =>
        MissedVolume.Millilitres(Some.Configuration(Some.Applicator(modulus: modulus)), Some.DragLine, before, after);
}
