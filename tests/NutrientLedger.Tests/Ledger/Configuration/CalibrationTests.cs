using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Tests.Ledger.Configuration;

/// <summary>Ten intervals of 30 L at 4000 mg/L total nitrogen: 0.3 m³ and 1.2 kg as measured.</summary>
public class CalibrationTests
{
    [Fact]
    public void Slope_and_intercept_make_the_mass_and_the_measured_one_is_kept()
    {
        // 1.1 × 1.2 kg − 0.1 kg/m³ × 0.3 m³.
        var nitrogen = Spread(Adopted("c", slope: 1_100_000, intercept: -100_000));

        Assert.Equal(1.29, nitrogen.TotalNitrogen.Kilograms, 1e-12);
        Assert.Equal(4.3, nitrogen.TotalNitrogen.MeanKilogramsPerCubicMetre!.Value, 1e-12);
        Assert.Equal(1.2, nitrogen.AsMeasured!.TotalNitrogen.Kilograms, 1e-12);
    }

    [Fact]
    public void Dry_matter_is_calibrated_like_any_other()
    {
        var spread = Spread(Adopted("c", slope: 900_000, intercept: 500_000) with { Analyte = Analyte.DryMatter });

        Assert.Equal(0.9 * 0.06 + 500e-6, spread.DryMatter.MeanFraction!.Value, 1e-12);
        Assert.Equal(1.2, spread.TotalNitrogen.Kilograms, 1e-12);
    }

    [Fact]
    public void Without_a_calibration_there_is_no_calibrated_mass() => Assert.Null(Spread().AsMeasured);

    [Fact]
    public void The_one_for_the_pit_goes_before_the_one_for_all_though_that_was_adopted_later() =>
        Assert.Equal(
            2.4,
            Spread(
                Adopted("pit", 2_000_000) with
                {
                    PitId = Some.Pit,
                },
                Adopted("all", 3_000_000)
            ).TotalNitrogen.Kilograms,
            1e-12
        );

    [Fact]
    public void Of_two_alike_the_one_adopted_last_holds_until_it_is_withdrawn()
    {
        IJournalEvent[] both = [Adopted("one", 2_000_000), Adopted("two", 3_000_000)];

        Assert.Equal(3.6, Spread(both).TotalNitrogen.Kilograms, 1e-12);
        Assert.Equal(
            2.4,
            Spread([.. both, new CalibrationWithdrawn("two", "Ada Ash", "Sample mixed up")]).TotalNitrogen.Kilograms,
            1e-12
        );
    }

    [Fact]
    public void It_holds_from_its_first_hour_up_to_its_last_and_for_no_other_pit_or_sensor()
    {
        var hour = TimeSpan.FromHours(1);
        var within = Adopted("c", 2_000_000) with { ValidFrom = Some.Morning, ValidTo = Some.Morning + hour };

        Assert.Equal(2.4, Spread(within).TotalNitrogen.Kilograms, 1e-12);
        CalibrationAdopted[] elsewhere =
        [
            within with
            {
                ValidFrom = Some.Morning + hour,
                ValidTo = null,
            },
            within with
            {
                ValidFrom = Some.Morning - hour,
                ValidTo = Some.Morning,
            },
            within with
            {
                PitId = "south-pit",
            },
            within with
            {
                SensorId = "nir-2",
            },
        ];
        Assert.All(elsewhere, other => Assert.Equal(1.2, Spread(other).TotalNitrogen.Kilograms, 1e-12));
    }

    [Fact]
    public void A_mass_that_a_calibration_makes_negative_is_0_and_flagged()
    {
        var spread = Spread(Adopted("c", 1_000_000, -5_000_000));

        Assert.Equal((0, 0), (spread.TotalNitrogen.Kilograms, spread.TotalNitrogen.MeanKilogramsPerCubicMetre));
        Assert.Equal(1, spread.FlaggedShare);
        Assert.Equal(0.3, spread.NegativeCubicMetres, 1e-12);
    }

    [Fact]
    public void Noise_around_zero_averages_out_and_no_sum_of_it_is_negative()
    {
        // 30 L each at these contents, K2O-poor manure below what the sensor can see.
        Assert.Equal(30e-6 * 40, Potassium(30, -20, 50, -20).Kilograms, 1e-12);
        var negative = Potassium(30, -20, -50, 20);
        Assert.Equal((0, 0), (negative.Kilograms, negative.MeanKilogramsPerCubicMetre));
        Assert.Equal(0, Noise(30, -20, -50, 20).NegativeCubicMetres);

        static NutrientAmount Potassium(params int[] contents) => Noise(contents).Potassium;

        static SpreadAmounts Noise(params int[] contents)
        {
            var configuration = Some.Configuration([.. Some.ConfigurationEvents()]);
            var readings = new Pass(contents.Length + 1)
                .Drive()
                .Select((reading, i) => reading with { PotassiumMilligramsPerLitre = contents.ElementAtOrDefault(i) });
            return SpreadAmounts.Of(configuration, Some.Posted(configuration, Some.Batch([.. readings])).Lines);
        }
    }

    private static CalibrationAdopted Adopted(string id, long slope = 1_000_000, long intercept = 0) =>
        new(
            id,
            Some.Sensor,
            Analyte.TotalNitrogen,
            slope,
            intercept,
            Some.Morning.AddDays(-1),
            null,
            null,
            ["r-1"],
            "Ada Ash",
            "Laboratory differs"
        );

    private static SpreadAmounts Spread(params IEnumerable<IJournalEvent> calibrations)
    {
        var configuration = Some.Configuration([.. Some.ConfigurationEvents(), .. calibrations]);
        return SpreadAmounts.Of(configuration, Some.Posted(configuration, Some.Batch(new Pass(11).Drive())).Lines);
    }
}
