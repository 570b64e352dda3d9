using CsCheck;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Tests.Agronomy.Factors.Conditions;

public sealed class IntervalTests
{
    private static readonly Gen<Interval> SomeInterval = Gen.Select(
            Gen.Int[0, 6],
            Gen.Int[0, 6],
            Gen.Bool,
            Gen.Bool,
            (low, high, lowIncluded, highIncluded) =>
                Interval.Parse($"{(lowIncluded ? '[' : '(')}{low},{high}{(highIncluded ? ']' : ')')}")
        )
        .Where(interval => interval is not null)
        .Select(interval => interval!.Value);

    [Fact]
    public void Two_intervals_overlap_exactly_when_some_number_is_in_both() =>
        Gen.Select(SomeInterval, SomeInterval)
            .Sample(
                (left, right) =>
                {
                    // The ends are whole numbers, so halves and wholes find every possible common number.
                    var common = Enumerable
                        .Range(0, 25)
                        .Select(quarter => quarter / 4.0)
                        .Any(number => left.Contains(number) && right.Contains(number));
                    Assert.Equal(common, left.Overlaps(right));
                    Assert.Equal(common, right.Overlaps(left));
                }
            );

    [Theory]
    [InlineData("[0,24]", 24, true)]
    [InlineData("(24,48]", 24, false)]
    [InlineData("[0,18)", 18, false)]
    [InlineData("(96,never]", double.PositiveInfinity, true)]
    [InlineData("(96,never)", double.PositiveInfinity, false)]
    [InlineData("never", double.PositiveInfinity, true)]
    [InlineData("never", 1e9, false)]
    public void Brackets_say_whether_an_end_belongs_to_it(string written, double number, bool within) =>
        Assert.Equal(within, Interval.Parse(written)!.Value.Contains(number));

    [Theory]
    [InlineData("")]
    [InlineData("0-24")]
    [InlineData("[24,0]")]
    [InlineData("(24,24]")]
    [InlineData("[a,b]")]
    public void Text_that_is_no_interval_is_null(string written) => Assert.Null(Interval.Parse(written));
}
