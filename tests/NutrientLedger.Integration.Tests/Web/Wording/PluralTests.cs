using NutrientLedger.Web.Wording;

namespace NutrientLedger.Integration.Tests.Web.Wording;

public sealed class PluralTests
{
    [Theory]
    [InlineData(0, "0 events, 0 batches")]
    [InlineData(1, "1 event, 1 batch")]
    [InlineData(2, "2 events, 2 batches")]
    [InlineData(1_001, "1001 events, 1001 batches")]
    public void One_is_singular_and_all_other_counts_are_plural(long count, string words) =>
        Assert.Equal(words, $"{Plural.Of(count, "event")}, {Plural.Of(count, "batch", "batches")}");
}
