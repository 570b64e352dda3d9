using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Factors.Files;

namespace NutrientLedger.Tests.Agronomy.Factors.Files;

/// <summary>
/// The factor sets that come with the hub, cell by cell against their sources where a table is long enough for a slip.
/// </summary>
public sealed class PublishedSetsTests
{
    [Fact]
    public void Every_set_is_read_without_an_error_and_has_coefficients()
    {
        Assert.Equal(
            [
                "alberta-2007",
                "california-silage-trade",
                "harvest-standards",
                "minnesota",
                "nebraska-silage-2012",
                "new-york",
                "north-central-removal",
                "north-dakota-silage-2021",
                "ontario-removal-2025",
                "saskatchewan-hog",
                "tri-state-removal-2020",
            ],
            PublishedSets.All.Select(set => set.Id)
        );
        Assert.All(PublishedSets.All, set => Assert.NotEmpty(set.Coefficients));
    }

    // Alberta Agriculture and Food, Agdex 400/28-3, table 4.3.4, p. 163 (seen), columns average, cool-wet, cool-dry,
    // warm-wet, warm-dry. The last row is not in the order of the others (cool and dry 0.25 under warm and wet 0.40);
    // it is taken as printed.
    [Theory]
    [InlineData("within-1-day", 0.75, 0.90, 0.85, 0.75, 0.50)]
    [InlineData("within-2-days", 0.70, 0.87, 0.81, 0.69, 0.43)]
    [InlineData("within-3-days", 0.65, 0.85, 0.78, 0.62, 0.35)]
    [InlineData("within-4-days", 0.60, 0.83, 0.74, 0.56, 0.28)]
    [InlineData("within-5-days", 0.55, 0.80, 0.70, 0.50, 0.20)]
    [InlineData("not-incorporated", 0.34, 0.60, 0.50, 0.25, 0.00)]
    [InlineData("on-residue-or-forage", 0.65, 0.75, 0.25, 0.40, 0.50)]
    public void Alberta_retains_ammonium_as_its_table_prints(string row, params double[] printed) =>
        Assert.Equal(
            printed,
            Words
                .All<WeatherClass>()
                .Select(weather => Value(PublishedSets.Find("alberta-2007")!, $"ammonium-retained/{row}/{weather}"))
        );

    // The rows of the same table, from the day of spreading on; liquid on bare soil left alone counts as worked in
    // within a day.
    [Theory]
    [InlineData(0, GroundCover.BareSoil, 0.90)]
    [InlineData(24, GroundCover.BareSoil, 0.90)]
    [InlineData(25, GroundCover.BareSoil, 0.87)]
    [InlineData(120, GroundCover.ResidueOrForage, 0.80)]
    [InlineData(Circumstances.Never, GroundCover.BareSoil, 0.90)]
    [InlineData(Circumstances.Never, GroundCover.ResidueOrForage, 0.75)]
    public void Alberta_reads_its_rows_by_hours_and_cover(double hours, GroundCover cover, double retained) =>
        Assert.Equal(retained, Retained(ApplicationMethod.TrailingHose, hours, cover, WeatherClass.CoolWet));

    // The same table and columns: a row holds over its whole day, from just after the end of the day before.
    [Theory]
    [InlineData(1, 0.75, 0.90, 0.85, 0.75, 0.50)]
    [InlineData(2, 0.70, 0.87, 0.81, 0.69, 0.43)]
    [InlineData(3, 0.65, 0.85, 0.78, 0.62, 0.35)]
    [InlineData(4, 0.60, 0.83, 0.74, 0.56, 0.28)]
    [InlineData(5, 0.55, 0.80, 0.70, 0.50, 0.20)]
    public void Alberta_reads_a_row_of_its_table_over_the_whole_day(int day, params double[] printed)
    {
        ApplicationMethod[] onTheSurface =
        [
            ApplicationMethod.Broadcast,
            ApplicationMethod.TrailingHose,
            ApplicationMethod.TrailingShoe,
        ];
        foreach (var method in onTheSurface)
        foreach (var intoTheDay in new[] { 0.01, 6, 12, 12.01, 18, 24 })
            Assert.Equal(
                printed,
                Enum.GetValues<WeatherClass>()
                    .Select(weather => Retained(method, 24 * (day - 1) + intoTheDay, GroundCover.BareSoil, weather))
            );
    }

    // Cornell University, Whole Farm tutorials, nitrogen from manure, module 2, pages 4 to 6, decay series (seen),
    // first year.
    [Theory]
    [InlineData(Animal.Dairy, 17.9, 0.35)]
    [InlineData(Animal.Swine, 18.0, 0.25)]
    [InlineData(Animal.Horse, 10, 0.30)]
    [InlineData(Animal.Horse, 40, 0.25)]
    [InlineData(Animal.Poultry, 60, 0.55)]
    public void New_York_mineralises_by_animal_and_dry_matter(Animal animal, double dryMatterPercent, double first)
    {
        var set = PublishedSets.Find("new-york")!;
        var manure = new Circumstances { Animal = animal, DryMatterPercent = dryMatterPercent };
        double Year(int year) =>
            set.Find(CoefficientKind.OrganicNitrogenAvailable, manure with { Year = year }).Used!.Value;
        Assert.Equal([first, 0.12, 0.05], [Year(1), Year(2), Year(3)]);
    }

    [Fact]
    public void Coefficients_known_only_from_memory_say_so()
    {
        string[] Remembered(string set) =>
            [
                .. PublishedSets
                    .Find(set)!
                    .Coefficients.Where(coefficient => coefficient.Mark == SourceMark.FromMemory)
                    .Select(coefficient => coefficient.Kind.Name)
                    .Distinct(),
            ];
        Assert.Equal(["ammonium-retained"], Remembered("new-york"));
        Assert.Equal(["p2o5-removed", "k2o-removed"], Remembered("tri-state-removal-2020"));
        Assert.Equal(["bushel-weight"], Remembered("harvest-standards"));
        foreach (var read in new[] { "alberta-2007", "saskatchewan-hog", "minnesota", "ontario-removal-2025" })
            Assert.Empty(Remembered(read));
    }

    private static double Retained(ApplicationMethod method, double hours, GroundCover cover, WeatherClass weather)
    {
        var how = new Circumstances
        {
            Form = ManureForm.Liquid,
            Method = method,
            WorkedInAfterHours = hours,
            Cover = cover,
            Weather = weather,
        };
        return PublishedSets.Find("alberta-2007")!.Find(CoefficientKind.AmmoniumRetained, how).Used!.Value;
    }

    private static double Value(FactorSet set, string name) =>
        set.Coefficients.Single(coefficient => coefficient.Name == name).Low;
}
