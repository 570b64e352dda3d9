namespace NutrientLedger.Json;

/// <summary>Collects everything that is wrong in one file, so that the author can fix all of it at once.</summary>
public sealed class FileProblems(string file)
{
    private readonly List<FileProblem> problems = [];

    public bool Any => problems.Count > 0;

    public IReadOnlyList<FileProblem> ByLine => [.. problems.OrderBy(problem => problem.Line)];

    public void Add(int line, string problem) => problems.Add(new(file, line, problem));
}

/// <summary>One problem in a hand-written file. Lines count from 1; 0 means the whole file.</summary>
public sealed record FileProblem(string File, int Line, string Problem)
{
    /// <summary>A file and a line in it, as people find them; the file alone where there is no line.</summary>
    public static string PlaceOf(string file, int line) => line > 0 ? $"{file}({line})" : file;
}
