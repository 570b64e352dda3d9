using CsCheck;
using NutrientLedger.Agronomy.Spreading;

namespace NutrientLedger.Tests.Agronomy.Spreading;

/// <summary>The rule of the Ledger's README, "Posting, exactly", intervals 1 (own rule, no published source).</summary>
public sealed class MeterIntervalTests
{
    private const long Modulus = 1_000_000_000;

    [Fact]
    public void Rising_totals_decide_whatever_the_flow_says()
    {
        Assert.Equal(31_000, MeterInterval.VolumeMillilitres(1_000, 32_000, null, null, 1_000, null));
        Assert.Equal(31_000, MeterInterval.VolumeMillilitres(1_000, 32_000, 9, 9, 3_600_000, null));
        Assert.Equal(31_000, MeterInterval.VolumeMillilitres(1_000, 32_000, null, null, -5, Modulus));
        Assert.Equal(0, MeterInterval.VolumeMillilitres(1_000, 1_000, 9, 9, 0, null));
    }

    [Fact]
    public void A_falling_total_is_a_roll_over_when_the_meter_starts_again_at_its_modulus()
    {
        Assert.Equal(12_000, MeterInterval.VolumeMillilitres(Modulus - 7_000, 5_000, null, null, 1_000, Modulus));
        Assert.Equal(0, MeterInterval.VolumeMillilitres(Modulus, 0, null, null, 1_000, Modulus));
    }

    [Fact]
    public void A_rise_of_more_than_half_a_cubic_metre_a_second_is_unknown()
    {
        Assert.Equal(500_000, MeterInterval.VolumeMillilitres(8_000, 508_000, null, null, 1_000, null));
        Assert.Null(MeterInterval.VolumeMillilitres(8_000, 508_001, null, null, 1_000, null));
        Assert.Equal(1_000_000, MeterInterval.VolumeMillilitres(0, 1_000_000, null, null, 2_000, null));
        Assert.Null(MeterInterval.VolumeMillilitres(0, 1_000_001, 9, 9, 2_000, Modulus));
    }

    [Fact]
    public void Between_readings_in_a_row_no_more_counts_than_runs_in_an_hour_but_across_a_gap_it_does()
    {
        const long Day = 86_400_000;
        Assert.Equal(1_800_000_000, MeterInterval.VolumeMillilitres(0, 1_800_000_000, null, null, Day, null));
        Assert.Null(MeterInterval.VolumeMillilitres(0, 1_800_000_001, null, null, Day, null));
        Assert.Equal(43_200_000_000, MeterInterval.AcrossMillilitres(0, 43_200_000_000, Day, null));
        Assert.Null(MeterInterval.AcrossMillilitres(0, 43_200_000_001, Day, null));
    }

    [Fact]
    public void A_total_may_be_a_second_old()
    {
        Assert.Equal(500_000, MeterInterval.VolumeMillilitres(0, 500_000, null, null, 100, null));
        Assert.Equal(500_000, MeterInterval.VolumeMillilitres(0, 500_000, null, null, -100, null));
        Assert.Null(MeterInterval.VolumeMillilitres(0, 500_001, null, null, 100, null));
    }

    [Fact]
    public void A_roll_over_of_more_than_half_a_cubic_metre_a_second_is_a_reset()
    {
        Assert.Equal(500_000, MeterInterval.VolumeMillilitres(Modulus - 1, 499_999, null, null, 1_000, Modulus));
        Assert.Null(MeterInterval.VolumeMillilitres(Modulus - 1, 500_000, null, null, 1_000, Modulus));
        Assert.Null(MeterInterval.VolumeMillilitres(8_000, 0, null, null, 1_000, Modulus));
    }

    [Fact]
    public void A_falling_total_is_unknown_without_a_modulus_and_beyond_it()
    {
        Assert.Null(MeterInterval.VolumeMillilitres(8_000, 0, null, null, 1_000, null));
        Assert.Null(MeterInterval.VolumeMillilitres(Modulus + 2, 1, null, null, 1_000, Modulus));
    }

    [Fact]
    public void Flow_never_replaces_a_reset() =>
        Assert.Null(MeterInterval.VolumeMillilitres(8_000, 0, 30_000, 30_000, 1_000, null));

    [Fact]
    public void Without_both_totals_the_mean_flow_counts_for_up_to_ten_seconds()
    {
        Assert.Equal(25_000, MeterInterval.VolumeMillilitres(1_000, null, 20_000, 30_000, 1_000, null));
        Assert.Equal(250_000, MeterInterval.VolumeMillilitres(null, null, 20_000, 30_000, 10_000, null));
        Assert.Null(MeterInterval.VolumeMillilitres(null, null, 20_000, 30_000, 10_001, null));
        Assert.Null(MeterInterval.VolumeMillilitres(null, null, 20_000, 30_000, 0, null));
        Assert.Null(MeterInterval.VolumeMillilitres(null, 5, 20_000, null, 1_000, null));
        Assert.Null(MeterInterval.VolumeMillilitres(null, null, null, 30_000, 1_000, null));
    }

    [Fact]
    public void Half_a_millilitre_of_flow_rounds_up()
    {
        Assert.Equal(1, MeterInterval.VolumeMillilitres(null, null, 0, 1, 1_000, null));
        Assert.Equal(0, MeterInterval.VolumeMillilitres(null, null, 0, 1, 999, null));
        Assert.Equal(0, MeterInterval.VolumeMillilitres(null, null, 0, -1, 1_000, null));
    }

    [Fact]
    public void Volume_by_flow_is_within_half_a_millilitre_of_the_mean_flow_and_the_same_both_ways() =>
        Gen.Select(Gen.Int[0, 500_000], Gen.Int[0, 500_000], Gen.Long[1, 10_000])
            .Sample(
                (first, second, milliseconds) =>
                {
                    var volume = MeterInterval.VolumeMillilitres(null, null, first, second, milliseconds, null);
                    var mean = ((decimal)first + second) / 2 * milliseconds / 1000;
                    Assert.InRange(volume!.Value - mean, -0.5m, 0.5m);
                    Assert.Equal(
                        volume,
                        MeterInterval.VolumeMillilitres(null, null, second, first, milliseconds, null)
                    );
                }
            );

    [Fact]
    public void A_meter_that_rolls_over_counts_the_same_as_one_that_does_not() =>
        Gen.Select(Gen.Long[0, Modulus - 1], Gen.Long[1, 60_000], Gen.Long[0, 500])
            .Sample(
                (from, milliseconds, millilitresPerMillisecond) =>
                {
                    var run = milliseconds * millilitresPerMillisecond;
                    var volume = MeterInterval.VolumeMillilitres(
                        from,
                        (from + run) % Modulus,
                        null,
                        null,
                        milliseconds,
                        Modulus
                    );
                    Assert.Equal(run, volume);
                }
            );

    [Fact]
    public void Rising_totals_add_up_over_any_reading_in_between() =>
        Gen.Select(Gen.Long[0, Modulus], Gen.Long[0, 900_000_000], Gen.Long[0, 900_000_000])
            .Sample(
                (start, first, second) =>
                {
                    long? Volume(long from, long to) =>
                        MeterInterval.VolumeMillilitres(from, to, null, null, 3_600_000, null);
                    var middle = start + first;
                    var end = middle + second;
                    Assert.Equal(Volume(start, end), Volume(start, middle) + Volume(middle, end));
                }
            );
}
