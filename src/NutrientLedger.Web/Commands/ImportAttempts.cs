using NutrientLedger.Json;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Web.Commands;

/// <summary>
/// What all imports share: they retry when the configuration changed meanwhile, and report errors alike.
/// </summary>
internal static class ImportAttempts
{
    // Two imports of one farm at the same time are rare; the loser compares again with what the other recorded.
    private const int AttemptsMax = 5;

    private const int ProblemsMax = 100;

    public static async Task<TOutcome> TryAsync<TOutcome>(Func<Task<TOutcome>> once)
        where TOutcome : ImportOutcome
    {
        for (var attempt = 1; ; attempt++)
            try
            {
                return await once();
            }
            catch (ConfigurationConflictException) when (attempt < AttemptsMax)
            {
                // The next attempt reads the configuration again.
            }
    }

    /// <summary>Imports a file. An unreadable file is reported as a problem.</summary>
    public static async Task<ImportOutcome> OfFileAsync(
        string path,
        Func<string, byte[], Task<ImportOutcome>> import,
        CancellationToken cancellationToken
    )
    {
        var (bytes, problem) = await BytesAsync(path, cancellationToken);
        return bytes is null ? new("", 0, 0, [problem!]) : await import(Path.GetFileName(path), bytes);
    }

    /// <summary>The bytes of a file, or why it cannot be read.</summary>
    public static async Task<(byte[]? Bytes, ImportProblem? Problem)> BytesAsync(
        string path,
        CancellationToken cancellationToken
    )
    {
        try
        {
            return (await File.ReadAllBytesAsync(path, cancellationToken), null);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            return (null, new(Path.GetFileName(path), 0, $"The file cannot be read: {error.Message}"));
        }
    }

    /// <summary>
    /// The first problems of a file, and how many more there are. A file of another kind has one on each line.
    /// </summary>
    public static IReadOnlyList<ImportProblem> Limited(IReadOnlyCollection<ImportProblem> problems) =>
        problems.Count <= ProblemsMax
            ? [.. problems]
            :
            [
                .. problems.Take(ProblemsMax),
                new(
                    problems.First().File,
                    0,
                    FormattableString.Invariant(
                        $"There are {problems.Count - ProblemsMax} more errors. Fix these first, then import again."
                    )
                ),
            ];

    public static ImportOutcome WithProblems(string farmId, FileProblems problems) =>
        new(
            farmId,
            0,
            0,
            Limited([
                .. problems.ByLine.Select(problem => new ImportProblem(problem.File, problem.Line, problem.Problem)),
            ])
        );
}
