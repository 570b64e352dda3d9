using NutrientLedger.Agronomy.Storage;

namespace NutrientLedger.Tests.Agronomy.Storage;

public class CleanedLevelsTests
{
    [Fact]
    public void A_dropout_among_many_readings_is_left_out_and_the_slow_fall_around_it_is_kept()
    {
        var cleaned = CleanedLevels.Of(
            Enumerable.Range(0, 60).Select(place => new LevelAt(place * 300_000L, place == 30 ? 0 : 3_000 - 2 * place))
        );
        Assert.Equal(new(30 * 300_000L, 0), Assert.Single(cleaned.Outliers));
        Assert.Equal(59, cleaned.Kept.Length);
        Assert.Equal(60, cleaned.Uncleaned.Kept.Length);
    }

    /// <summary>The lower of two levels of one moment comes first. Common practice, no source.</summary>
    [Fact]
    public void Two_levels_of_one_moment_give_the_same_in_any_order_of_arrival()
    {
        LevelAt[] expected = [new(0, 3_000), new(3_600_000, 2_900), new(3_600_000, 3_100)];
        Assert.Equal(expected, CleanedLevels.Of([expected[0], expected[1], expected[2]]).Kept.AsEnumerable());
        Assert.Equal(expected, CleanedLevels.Of([expected[2], expected[1], expected[0]]).Kept.AsEnumerable());
    }

    /// <summary>
    /// Where two of three readings agree, the third is not wrong: the pit may have filled between them.
    /// </summary>
    [Fact]
    public void A_handful_of_readings_is_kept_as_it_is()
    {
        var cleaned = CleanedLevels.Of([new(0, 3_100), new(3_600_000, 3_110), new(7_200_000, 3_110)]);
        Assert.Empty(cleaned.Outliers);
        Assert.Equal(3_100, cleaned.MillimetresAt(0));
    }
}
