using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Architecture.Tests;

public class UnknownEventTests
{
    [Fact]
    public void A_name_that_no_hub_ever_stored_is_rejected_by_name()
    {
        var error = Assert.Throws<FormatException>(() => EventCodec.Decode("manure_guessed", "{}"u8));
        Assert.Contains("manure_guessed", error.Message, StringComparison.Ordinal);
    }
}
