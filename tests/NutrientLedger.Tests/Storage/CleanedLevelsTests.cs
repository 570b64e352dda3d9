using NutrientLedger.Agronomy.Storage;

namespace NutrientLedger.Tests.Storage;

public class CleanedLevelsTests
{
    [Fact]
    public void A_dropout_among_many_readings_is_set_aside_and_the_slow_fall_around_it_is_not()
    {
        var cleaned = CleanedLevels.Of(
            Enumerable.Range(0, 60).Select(place => new LevelAt(place * 300_000L, place == 30 ? 0 : 3_000 - 2 * place))
        );
        Assert.Equal(new(30 * 300_000L, 0), Assert.Single(cleaned.SetAside));
        Assert.Equal(59, cleaned.Kept.Length);
        Assert.Equal(60, cleaned.Uncleaned.Kept.Length);
    }

    /// <summary>Three readings of which two agree do not make the third one wrong: the pit may have filled between them.</summary>
    [Fact]
    public void A_handful_of_readings_is_kept_as_it_is()
    {
        var cleaned = CleanedLevels.Of([new(0, 3_100), new(3_600_000, 3_110), new(7_200_000, 3_110)]);
        Assert.Empty(cleaned.SetAside);
        Assert.Equal(3_100, cleaned.MillimetresAt(0));
    }
}
