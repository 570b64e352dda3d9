namespace NutrientLedger.Architecture.Tests;

/// <summary>Finds the checkout that these tests were built from.</summary>
internal static class Repository
{
    public static string Root { get; } = FindRoot();

    /// <summary>The files of the project: everything outside build output and version control.</summary>
    public static IEnumerable<string> Files(string pattern) =>
        Directory
            .EnumerateFiles(Root, pattern, SearchOption.AllDirectories)
            .Select(path => Path.GetRelativePath(Root, path).Replace('\\', '/'))
            .Where(path => !path.Split('/').Any(part => part is "bin" or "obj" or ".git" or "TestResults"));

    private static string FindRoot()
    {
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(at.FullName, "NutrientLedger.sln")))
            at = at.Parent ?? throw new InvalidOperationException("NutrientLedger.sln is not above the test folder.");
        return at.FullName;
    }
}
