using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Tests.Ledger.Fields;

/// <summary>The invented farm's ledger begins on 1 October 2025, the first day of season 2026.</summary>
public class FarmSeasonsTests
{
    [Fact]
    public void Seasons_with_lines_or_a_plan_come_in_order_and_once()
    {
        var seasons = FarmSeasons.Of(Farm(2028, 2026), [2027, 2026, 2027]);

        Assert.Equal<int>([2026, 2027, 2028], seasons.All);
        Assert.Equal(2028, seasons.Latest);
        Assert.Equal(2029, FarmSeasons.Of(Farm(2028), [2029]).Latest);
    }

    [Fact]
    public void With_neither_lines_nor_plans_the_latest_is_that_in_which_the_ledger_begins()
    {
        var seasons = FarmSeasons.Of(Farm(), []);

        Assert.Empty(seasons.All);
        Assert.Equal(2026, seasons.Latest);
    }

    private static FarmConfiguration Farm(params int[] planned) =>
        Some.Configuration([
            .. Some.ConfigurationEvents(),
            .. planned.Select(season => new NutrientPlanSet(
                Some.West,
                season,
                NitrogenBasis.Total,
                300,
                null,
                null,
                "maize"
            )),
        ]);
}
