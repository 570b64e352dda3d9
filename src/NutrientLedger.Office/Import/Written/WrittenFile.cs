using NutrientLedger.Agronomy.Written;

namespace NutrientLedger.Office.Import.Written;

/// <summary>Brings a hand-written file in; what it says is read by <see cref="WrittenText"/>.</summary>
internal static class WrittenFile
{
    /// <summary>The whole file as a tree, or nothing and one problem when it cannot be read or is not JSON.</summary>
    public static async Task<WrittenValue?> ReadAsync(
        string path,
        ProblemSheet problems,
        CancellationToken cancellationToken
    )
    {
        try
        {
            return WrittenText.Parse(await File.ReadAllBytesAsync(path, cancellationToken), problems);
        }
        catch (Exception trouble) when (trouble is FileNotFoundException or DirectoryNotFoundException)
        {
            problems.Add(
                0,
                "There is no such file. A file of fields is looked for beside the farm file that names it."
            );
            return null;
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            problems.Add(0, $"The file could not be read: {trouble.Message}");
            return null;
        }
    }
}
