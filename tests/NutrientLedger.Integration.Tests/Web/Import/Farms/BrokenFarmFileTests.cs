using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

public class BrokenFarmFileTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private static readonly string Broken = Path.Combine(AppContext.BaseDirectory, "Web", "Import", "Farms", "Broken");

    [DatabaseFact]
    public async Task All_that_is_wrong_is_named_at_once_with_its_line_and_nothing_is_recorded()
    {
        foreach (var folder in Directory.EnumerateDirectories(Broken))
        {
            var outcome = await web.Import.ImportAsync(Path.Combine(folder, "farm.json"), default);

            var named = outcome.Problems.Select(problem => $"{problem.File}:{problem.Line}: {problem.Problem}");
            Assert.Equal(
                await File.ReadAllTextAsync(Path.Combine(folder, "problems.txt")),
                $"{string.Join('\n', named)}\n"
            );
            Assert.Equal(0, outcome.Recorded);
        }
        Assert.Empty(await web.Configurations.FarmsAsync(default));
    }

    [DatabaseFact]
    public async Task A_file_that_is_not_there_is_a_problem_like_any_other()
    {
        var outcome = await web.Import.ImportAsync("/no/such/farm.json", default);

        var problem = Assert.Single(outcome.Problems);
        Assert.Equal(("farm.json", 0), (problem.File, problem.Line));
    }
}
