using NutrientLedger.Agronomy.Written;

namespace NutrientLedger.Tests.Written;

public sealed class CountedTests
{
    [Theory]
    [InlineData(0, "0 packs, 0 entries")]
    [InlineData(1, "1 pack, 1 entry")]
    [InlineData(2, "2 packs, 2 entries")]
    [InlineData(1_001, "1001 packs, 1001 entries")]
    public void One_is_said_as_one_and_all_other_counts_as_many(long count, string words) =>
        Assert.Equal(words, $"{Counted.Of(count, "pack")}, {Counted.Of(count, "entry", "entries")}");
}
