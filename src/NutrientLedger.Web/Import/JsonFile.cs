using NutrientLedger.Json;

namespace NutrientLedger.Web.Import;

/// <summary>Reads a hand-written file; <see cref="PositionedJsonParser"/> parses it.</summary>
internal static class JsonFile
{
    /// <summary>The parsed file, or null and one problem when it cannot be read or is not JSON.</summary>
    public static async Task<PositionedJsonValue?> ReadAsync(
        string path,
        FileProblems problems,
        CancellationToken cancellationToken,
        string notFound = "File not found. Check the path."
    )
    {
        try
        {
            return PositionedJsonParser.Parse(await File.ReadAllBytesAsync(path, cancellationToken), problems);
        }
        catch (Exception error) when (error is FileNotFoundException or DirectoryNotFoundException)
        {
            problems.Add(0, notFound);
            return null;
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            problems.Add(0, $"The file could not be read: {error.Message}");
            return null;
        }
    }
}
