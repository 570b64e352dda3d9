using NutrientLedger.Ledger.Levels;

namespace NutrientLedger.Tests.Ledger.Levels;

/// <summary>An hour of levels that arrive in any order. Common practice, no source.</summary>
public class LevelHourTests
{
    private const long At = 1_776_178_800_000;

    [Fact]
    public void Of_levels_at_the_same_moment_the_lower_is_the_first_and_the_higher_the_last_in_any_order_of_arrival()
    {
        var (low, high) = (LevelHour.Of(At, 2_400), LevelHour.Of(At, 2_500));
        var expected = new LevelHour(At, 2_400, At, 2_500, 2_400, 2_500, 2, 4_900);

        Assert.Equal(expected, low.Merge(high));
        Assert.Equal(expected, high.Merge(low));
    }

    [Fact]
    public void The_moment_decides_before_the_level()
    {
        var (early, late) = (LevelHour.Of(At, 2_500), LevelHour.Of(At + 1, 2_400));
        var expected = new LevelHour(At, 2_500, At + 1, 2_400, 2_400, 2_500, 2, 4_900);

        Assert.Equal(expected, early.Merge(late));
        Assert.Equal(expected, late.Merge(early));
    }
}
