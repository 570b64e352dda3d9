namespace NutrientLedger.Architecture.Tests;

/// <summary>
/// A folder is a namespace with one purpose. Folders of a project depend on each other in one direction only.
/// </summary>
public class FolderTests
{
    public static TheoryData<string> Projects => ProjectsTests.Projects;

    [Theory]
    [MemberData(nameof(Projects))]
    public void A_file_declares_the_namespace_of_its_folder(string project)
    {
        var source = new ProjectSource(project);
        var unexpected = (
            from file in source.Files
            let folder = Path.GetDirectoryName(file)!.Replace('\\', '.').Replace('/', '.')
            let expected = folder.Length == 0 ? $"NutrientLedger.{project}" : $"NutrientLedger.{project}.{folder}"
            from declared in source.NamespacesOf(file)
            where declared != expected
            select $"{file} declares {declared}, not {expected}"
        ).ToArray();
        Assert.NotEmpty(source.Files);
        Assert.True(unexpected.Length == 0, $"Name the namespace after the folder: {string.Join("; ", unexpected)}");
    }

    [Theory]
    [MemberData(nameof(Projects))]
    public void Folders_of_a_project_have_no_cycle(string project)
    {
        var references = new ProjectSource(project)
            .References()
            .Where(reference => reference.FromFolder != reference.ToFolder)
            .ToLookup(reference => reference.FromFolder);
        var cycles =
            from folder in references.Select(folder => folder.Key)
            from reference in references[folder]
            where Reached(reference.ToFolder, references).Contains(folder)
            select $"{reference.From} uses {reference.To}";
        var found = cycles.Distinct().Order(StringComparer.Ordinal).ToArray();
        Assert.True(
            found.Length == 0,
            $"Folders of {project} depend on each other both ways. Move a type so that one way is left: "
                + string.Join("; ", found)
        );
    }

    [Fact]
    public void A_reference_between_folders_is_found()
    {
        var references = new ProjectSource("Journal").References();
        Assert.Contains(references, reference => reference.FromFolder != reference.ToFolder);
    }

    private static HashSet<string> Reached(string folder, ILookup<string, FileReference> references)
    {
        var reached = new HashSet<string> { folder };
        var open = new Queue<string>(reached);
        while (open.TryDequeue(out var at))
            foreach (var next in references[at].Select(reference => reference.ToFolder))
                if (reached.Add(next))
                    open.Enqueue(next);
        return reached;
    }
}
