using NutrientLedger.Agronomy.Emission;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Tests.Agronomy.Emission;

public sealed class EmissionComparisonTests
{
    // Retained 0.34, average weather, not incorporated: Alberta Agriculture and Food, Nutrient Management Planning
    // Guide (Agdex 400/28-3, 2007), table 4.3.4, p. 163 (seen), so 0.66 is lost. The model's 72 hours are the printed
    // example of PublishedEmissionTests (0.6077).
    [Fact]
    public void The_model_is_compared_with_the_tables_loss_hour_by_hour()
    {
        var run = AmmoniaEmission.Run(
            EmissionSets.Of2021,
            new(50, ApplicationMethod.Broadcast, DryMatterPercent: 8),
            [.. Enumerable.Repeat(new WeatherHour(20, 3), 72)]
        );

        var points = EmissionComparison.Of(run, 0.34);

        Assert.Equal(Enumerable.Range(0, 73), points.Select(point => point.Hour));
        Assert.All(points, point => Assert.Equal(0.66, point.TableLossFraction, 1e-12));
        Assert.Equal(0, points[0].EmittedFraction);
        Assert.Equal(0.6077, points[^1].EmittedFraction, 0.0001);
        Assert.Equal(
            points.Select(point => point.EmittedFraction).Order(),
            points.Select(point => point.EmittedFraction)
        );
    }

    [Theory]
    [InlineData(-0.1)]
    [InlineData(1.1)]
    [InlineData(double.NaN)]
    public void A_retained_share_outside_0_to_1_is_rejected(double retained) =>
        Assert.Throws<ArgumentOutOfRangeException>(() =>
            EmissionComparison.Of(new(EmissionSets.Of2021, 0.5, [], false), retained)
        );
}
