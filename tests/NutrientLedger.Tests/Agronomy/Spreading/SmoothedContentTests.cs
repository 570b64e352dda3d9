using CsCheck;
using NutrientLedger.Agronomy.Spreading;

namespace NutrientLedger.Tests.Agronomy.Spreading;

/// <summary>Own rules, no published source; the arithmetic is a first-order lag.</summary>
public sealed class SmoothedContentTests
{
    private static readonly SmoothingRule Rule = new(20, 60, 0.5, 12);

    [Fact]
    public void The_first_reading_counts_as_it_is() => Assert.Equal(3.8, Taken((0, 3.8)).At(Rule, 5));

    // After one time constant a step is answered by 1 − 1/e, after three by 1 − 1/e³.
    [Theory]
    [InlineData(20, 0.632121)]
    [InlineData(60, 0.950213)]
    public void A_step_is_followed_by_the_time_constant(int seconds, double share)
    {
        var readings = Enumerable.Range(1, seconds).Select(second => ((double)second, 5.0));
        Assert.Equal(4 + share, Taken([(0, 4), .. readings]).At(Rule, seconds)!.Value, 1e-6);
    }

    [Fact]
    public void It_never_leaves_the_range_of_the_readings_and_spacing_does_not_matter_for_a_constant_value() =>
        Gen.Select(Gen.Double[0.5, 12].Array[1, 30], Gen.Double[0.1, 30].Array[30])
            .Sample(
                (contents, gaps) =>
                {
                    var (state, seconds) = (SmoothedContent.None, 0.0);
                    for (var n = 0; n < contents.Length; n++)
                    {
                        seconds += gaps[n];
                        state = state.Take(Rule, contents[n], seconds).Next;
                        Assert.InRange(state.At(Rule, seconds)!.Value, contents.Min() - 1e-9, contents.Max() + 1e-9);
                    }
                    var once = state.Take(Rule, 6, seconds + 30).Next;
                    var often = state;
                    for (var step = 1; step <= 30; step++)
                        often = often.Take(Rule, 6, seconds + step).Next;
                    Assert.Equal(once.At(Rule, seconds + 30)!.Value, often.At(Rule, seconds + 30)!.Value, 1e-9);
                }
            );

    [Theory]
    [InlineData(0.4)]
    [InlineData(12.1)]
    [InlineData(double.NaN)]
    public void A_reading_outside_the_calibrations_range_is_no_reading(double reading)
    {
        var before = Taken((0, 3.8));
        var (after, result) = before.Take(Rule, reading, 10);
        Assert.Equal((before, SmoothingResult.OutOfRange), (after, result));
    }

    [Fact]
    public void A_reading_that_comes_late_or_twice_changes_nothing()
    {
        var before = Taken((0, 3.8), (10, 4.2));
        Assert.Equal((before, SmoothingResult.OutOfOrder), before.Take(Rule, 9, 10));
        Assert.Equal((before, SmoothingResult.OutOfOrder), before.Take(Rule, 9, 4));
    }

    [Fact]
    public void After_a_gap_the_content_is_unknown_and_the_next_reading_starts_again()
    {
        var old = Taken((0, 3.8));
        Assert.Equal(3.8, old.At(Rule, 60));
        Assert.Null(old.At(Rule, 60.001));
        Assert.Equal(7, old.Take(Rule, 7, 61).Next.At(Rule, 61));
        Assert.Null(SmoothedContent.None.At(Rule, 0));
    }

    private static SmoothedContent Taken(params (double Seconds, double Content)[] readings) =>
        readings.Aggregate(
            SmoothedContent.None,
            (state, reading) =>
            {
                var (next, result) = state.Take(Rule, reading.Content, reading.Seconds);
                Assert.Equal(SmoothingResult.Taken, result);
                return next;
            }
        );
}
