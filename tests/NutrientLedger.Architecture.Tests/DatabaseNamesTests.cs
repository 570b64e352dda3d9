using System.Text.RegularExpressions;

namespace NutrientLedger.Architecture.Tests;

/// <summary>Database names that may appear in one file only.</summary>
public partial class DatabaseNamesTests
{
    private const string Views = "src/NutrientLedger.Persistence/Events/JournalViews.cs";

    private const string Locks = "src/NutrientLedger.Persistence/Database/AdvisoryLocks.cs";

    [Fact]
    public void Tables_of_the_event_store_library_are_named_by_the_views_alone() =>
        AssertNamedOnlyIn(Views, LibraryTable(), "Read journal.event, journal.stream or journal.progress");

    [Fact]
    public void Advisory_locks_are_taken_by_their_registry_alone() =>
        AssertNamedOnlyIn(Locks, LockFunction(), "Add the lock to the registry and take it there");

    [Fact]
    public void Every_insert_names_its_columns()
    {
        var nameless = Sources().Where(file => InsertWithoutColumns().IsMatch(file.Text)).Select(file => file.Path);
        Assert.True(!nameless.Any(), $"Name the columns after the table: {string.Join(", ", nameless)}");
        Assert.Contains(Sources(), file => file.Text.Contains("insert into", StringComparison.Ordinal));
    }

    private static void AssertNamedOnlyIn(string only, Regex name, string remedy)
    {
        var found = Sources().Where(file => name.IsMatch(file.Text)).Select(file => file.Path).ToArray();
        Assert.Contains(only, found);
        Assert.True(found.Length == 1, $"{remedy}: {string.Join(", ", found.Where(path => path != only))}");
    }

    private static IEnumerable<(string Path, string Text)> Sources() =>
        Repository
            .Files("*.cs")
            .Where(path => path.StartsWith("src/", StringComparison.Ordinal))
            .Select(path => (path, File.ReadAllText(Path.Combine(Repository.Root, path))));

    [GeneratedRegex(@"\bmt_[a-z]")]
    private static partial Regex LibraryTable();

    [GeneratedRegex("advisory_|hashtext")]
    private static partial Regex LockFunction();

    [GeneratedRegex(@"insert into \S+(\s+as\s+\w+)?\s+(?!as\b)[^(\s]")]
    private static partial Regex InsertWithoutColumns();
}
