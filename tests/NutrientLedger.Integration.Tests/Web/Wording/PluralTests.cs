using NutrientLedger.Web.Wording;

namespace NutrientLedger.Integration.Tests.Web.Wording;

public sealed class PluralTests
{
    [Theory]
    [InlineData(0, "0 packs, 0 entries")]
    [InlineData(1, "1 pack, 1 entry")]
    [InlineData(2, "2 packs, 2 entries")]
    [InlineData(1_001, "1001 packs, 1001 entries")]
    public void One_is_singular_and_all_other_counts_are_plural(long count, string words) =>
        Assert.Equal(words, $"{Plural.Of(count, "pack")}, {Plural.Of(count, "entry", "entries")}");
}
