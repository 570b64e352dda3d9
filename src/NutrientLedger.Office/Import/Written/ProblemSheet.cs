namespace NutrientLedger.Office.Import.Written;

/// <summary>Collects everything that is wrong in one file, so that it can be mended in one go.</summary>
internal sealed class ProblemSheet(string file)
{
    private readonly List<ImportProblem> problems = [];

    public IReadOnlyList<ImportProblem> InOrder => [.. problems.OrderBy(problem => problem.Line)];

    public void Add(int line, string problem) => problems.Add(new(file, line, problem));
}
