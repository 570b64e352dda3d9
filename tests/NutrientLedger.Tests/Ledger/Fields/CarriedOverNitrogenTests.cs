using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Fields;
using static NutrientLedger.Tests.Ledger.Fields.SomeAvailability;

namespace NutrientLedger.Tests.Ledger.Fields;

/// <summary>
/// Nitrogen that manure of earlier seasons still supplies in season 2026. Alberta Agriculture and Food, Agdex 400/28-3
/// (2007), p. 162 (seen): swine liquid of 3.5 kg total and 1.8 kg ammonium N per 1000 L gives 0.204 kg in its second
/// and 0.102 kg in its third year. Tolerance 0.0005.
/// </summary>
public class CarriedOverNitrogenTests
{
    private const double Tolerance = 0.0005;

    [Fact]
    public void The_third_year_is_carried_over_as_the_second_is()
    {
        Assert.Equal(0.204, PerLitre(CarriedOver(2025)), Tolerance);
        Assert.Equal(0.102, PerLitre(CarriedOver(2024)), Tolerance);
        Assert.Equal(0.204 + 0.102, PerLitre(CarriedOver(2024, 2025)), Tolerance);
    }

    [Fact]
    public void Neither_the_fourth_year_nor_the_season_itself_is_carried_over()
    {
        Assert.Equal(0, CarriedOver(2023).Kilograms);
        Assert.Equal(0, CarriedOver(2026).Kilograms);
        Assert.Equal(0.102, PerLitre(CarriedOver(2023, 2024, 2026)), Tolerance);
    }

    /// <summary>Season 2024 begins on 1 October 2023.</summary>
    [Theory]
    [InlineData(1, false)]
    [InlineData(2, true)]
    public void It_is_at_least_that_much_where_the_ledger_knows_only_a_part_of_the_third_year(int day, bool atLeast) =>
        Assert.Equal(atLeast, CarriedOver(new DateOnly(2023, 10, day), 2025).AtLeast);

    private static AvailableAmount CarriedOver(params int[] seasons) => CarriedOver(new DateOnly(2022, 10, 1), seasons);

    /// <summary>300 L on the western field in the spring of each season.</summary>
    private static AvailableAmount CarriedOver(DateOnly begins, params int[] seasons)
    {
        var before = Some.Morning.AddYears(-4);
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Farm(begins: begins),
            Some.Field(Some.West, Some.Square(), new(2022, 10, 1)),
            Some.Mounted(before),
            Some.Source(from: before),
            new SpreadingMethodRecorded(Some.DragLine, null, SpreadingMethod.ClosedSlotInjection, null, before),
            .. Alberta("liquid"),
        ]);
        var batches = seasons.Select(season =>
            Some.Batch(
                new Pass(11) { Start = Some.Morning.AddYears(season - 2026), Change = SwineLiquid }.Drive(),
                boot: season
            )
        );
        var lines = Some.Posted(configuration, batches).Lines;
        return FieldBalance.Of(configuration, lines, [], Some.West, 2026).Availability!.CarriedOverNitrogen;
    }

    private static SpreadReading SwineLiquid(int _, SpreadReading reading) =>
        reading with
        {
            TotalNitrogenMilligramsPerLitre = 3_500,
            AmmoniumNitrogenMilligramsPerLitre = 1_800,
        };
}
