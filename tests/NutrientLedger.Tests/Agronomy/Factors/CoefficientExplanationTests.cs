using NutrientLedger.Agronomy.Emission;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Files;

namespace NutrientLedger.Tests.Agronomy.Factors;

public sealed class CoefficientExplanationTests
{
    private static readonly ExplainedSet[] Sets =
    [
        .. PublishedSets.All.Select(ExplainedSet.Of),
        .. EmissionSets.All.Select(EmissionExplanation.Of),
    ];

    [Fact]
    public void A_coefficient_names_its_source_and_its_mark()
    {
        var explanation = Assert.Single(ExplainedSet.Find("ammonium-retained/within-2-days/cool-wet", Sets));
        Assert.Equal(
            ("alberta-2007", "0.87", "of ammonium N"),
            (explanation.SetId, explanation.Value, explanation.Unit)
        );
        Assert.Equal(
            "Nutrient Management Planning Guide, Alberta Agriculture and Food, Agdex 400/28-3, 2007",
            explanation.Source
        );
        Assert.Equal("table 4.3.4, p. 163", explanation.Place);
        Assert.StartsWith("published", explanation.Mark, StringComparison.Ordinal);
        Assert.Equal(
            "method broadcast or trailing-hose or trailing-shoe; weather cool-wet; hours until worked in over 24 to 48",
            Assert.Single(explanation.HoldsWhen)
        );
    }

    [Fact]
    public void A_name_that_several_sets_share_is_explained_for_each() =>
        Assert.Equal(
            ["alberta-2007", "minnesota", "saskatchewan-hog"],
            ExplainedSet.Find("potassium-available/year-1", Sets).Select(found => found.SetId)
        );

    [Fact]
    public void Every_coefficient_of_every_set_can_be_explained() =>
        Assert.All(
            Sets.SelectMany(set => set.Coefficients),
            explanation =>
            {
                Assert.NotEmpty(explanation.Source);
                Assert.NotEmpty(explanation.Place);
                Assert.NotEmpty(explanation.HoldsWhen);
                Assert.All(explanation.HoldsWhen, when => Assert.Matches("^(always|[a-z]+ .+)$", when));
            }
        );

    [Fact]
    public void A_parameter_of_the_emission_model_is_explained_like_any_coefficient()
    {
        var explanation = ExplainedSet
            .Find("f0/dry-matter-percent", Sets)
            .Single(found => found.SetId == "two-pool-2021");
        Assert.Equal(
            ("0.3996707", "per %", "parameter set 2"),
            (explanation.Value, explanation.Unit, explanation.Place)
        );
    }

    [Theory]
    [InlineData("ammonium-retaned/within-2-days/cool-wet", "ammonium-retained/within-2-days/cool-wet")]
    [InlineData("within-2-days warm-dry", "ammonium-retained/within-2-days/warm-dry")]
    [InlineData("phosphorus-availabel/year-1", "phosphorus-available/year-1")]
    public void An_unknown_name_finds_the_one_that_was_meant(string asked, string meant) =>
        Assert.Equal(
            meant,
            NearestNames.To(asked, Sets.SelectMany(set => set.Coefficients).Select(coefficient => coefficient.Name), 3)[
                0
            ]
        );
}
