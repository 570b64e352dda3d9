using NutrientLedger.Hub.Commands;
using NutrientLedger.Web.Import.Farms;

namespace NutrientLedger.Integration.Tests.Hub.Commands;

/// <summary>Whoever takes entries back says why, and who they are.</summary>
public class ImportFarmSettingsTests
{
    [Fact]
    public void A_withdrawal_has_a_reason_and_a_person()
    {
        Assert.Equal(new Withdrawal("never sat there", "Ada Ash"), Given("never sat there", "Ada Ash").Withdrawal);
        Assert.Equal("nir-2", Given("never sat there", "Ada Ash", "nir-2").Withdrawal!.Only);
        Assert.True(Given("never sat there", "Ada Ash").Validate().Successful);
    }

    [Fact]
    public void Without_the_option_nothing_is_taken_back()
    {
        Assert.Null(Given(null, null).Withdrawal);
        Assert.True(Given(null, null).Validate().Successful);
    }

    [Theory]
    [InlineData(null, null, "nir-2")]
    [InlineData("never sat there", null)]
    [InlineData("never sat there", " ")]
    [InlineData(null, "Ada Ash")]
    [InlineData(" ", "Ada Ash")]
    [InlineData(" ", null)]
    public void One_without_the_other_is_rejected_with_an_example(string? reason, string? by, string? only = null)
    {
        var result = Given(reason, by, only).Validate();

        Assert.False(result.Successful);
        Assert.Contains("--withdraw \"wrong machine\" --by \"Ada Ash\"", result.Message, StringComparison.Ordinal);
    }

    private static ImportFarmCommand.Settings Given(string? reason, string? by, string? only = null) =>
        new()
        {
            File = "farm.json",
            Withdraw = reason,
            By = by,
            Only = only,
        };
}
