namespace NutrientLedger.Json;

/// <summary>Collects everything that is wrong in one file, so that it can be mended in one go.</summary>
public sealed class FileProblems(string file)
{
    private readonly List<FileProblem> problems = [];

    public IReadOnlyList<FileProblem> ByLine => [.. problems.OrderBy(problem => problem.Line)];

    public void Add(int line, string problem) => problems.Add(new(file, line, problem));
}

/// <summary>What is wrong in a file written by hand, and on which line (from 1; 0 when the file as a whole is meant).</summary>
public sealed record FileProblem(string File, int Line, string Problem);
