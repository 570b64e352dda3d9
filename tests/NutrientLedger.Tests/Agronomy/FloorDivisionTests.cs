using CsCheck;
using NutrientLedger.Agronomy;

namespace NutrientLedger.Tests.Agronomy;

public sealed class FloorDivisionTests
{
    [Fact]
    public void A_quotient_is_the_largest_whole_number_not_above_the_exact_one() =>
        Gen.Select(Gen.Long[-1_000_000_000_000, 1_000_000_000_000], Gen.Long[1, 1_000_000])
            .Sample(
                (dividend, divisor) =>
                {
                    var remainder = dividend - FloorDivision.Divide(dividend, divisor) * divisor;
                    Assert.InRange(remainder, 0, divisor - 1);
                }
            );

    [Theory]
    [InlineData(7, 2, 3)]
    [InlineData(-7, 2, -4)]
    [InlineData(-8, 2, -4)]
    [InlineData(7, -2, -4)]
    public void It_rounds_towards_minus_infinity(long dividend, long divisor, long quotient) =>
        Assert.Equal(quotient, FloorDivision.Divide(dividend, divisor));
}
