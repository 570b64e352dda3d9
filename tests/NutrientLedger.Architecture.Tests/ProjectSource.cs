using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;

namespace NutrientLedger.Architecture.Tests;

/// <summary>One type reference from a file of a project to another file of the same project.</summary>
internal sealed record FileReference(string From, string To)
{
    public string FromFolder => FolderOf(From);

    public string ToFolder => FolderOf(To);

    private static string FolderOf(string path) => Path.GetDirectoryName(path)!.Replace('\\', '/');
}

/// <summary>The C# files of one project, compiled in memory, so that tests can query which file uses which.</summary>
internal sealed class ProjectSource
{
    private const string ImplicitUsings = """
        global using System; global using System.Collections.Generic; global using System.IO; global using System.Linq;
        global using System.Net.Http; global using System.Threading; global using System.Threading.Tasks;
        """;

    private const string WebUsings = """
        global using Microsoft.AspNetCore.Builder; global using Microsoft.AspNetCore.Hosting;
        global using Microsoft.AspNetCore.Http; global using Microsoft.AspNetCore.Routing;
        global using Microsoft.Extensions.Configuration; global using Microsoft.Extensions.DependencyInjection;
        global using Microsoft.Extensions.Hosting; global using Microsoft.Extensions.Logging;
        """;

    private readonly string prefix;
    private readonly CSharpCompilation compilation;

    public ProjectSource(string project)
    {
        prefix = $"src/NutrientLedger.{project}/";
        var projectFile = File.ReadAllText(Path.Combine(Repository.Root, prefix, $"NutrientLedger.{project}.csproj"));
        var usings = projectFile.Contains("Microsoft.NET.Sdk.Web", StringComparison.Ordinal)
            ? ImplicitUsings + WebUsings
            : ImplicitUsings;
        var files = Repository
            .Files("*.cs")
            .Where(path => path.StartsWith(prefix, StringComparison.Ordinal))
            .Select(path =>
                CSharpSyntaxTree.ParseText(
                    File.ReadAllText(Path.Combine(Repository.Root, path)),
                    path: path[prefix.Length..]
                )
            );
        var libraries = ((string)AppContext.GetData("TRUSTED_PLATFORM_ASSEMBLIES")!)
            .Split(Path.PathSeparator)
            .Where(path => Path.GetFileNameWithoutExtension(path) != $"NutrientLedger.{project}")
            .Select(path => MetadataReference.CreateFromFile(path));
        compilation = CSharpCompilation.Create(
            $"NutrientLedger.{project}",
            files.Append(CSharpSyntaxTree.ParseText(usings)),
            libraries
        );
    }

    /// <summary>Paths of the files, relative to the project's folder.</summary>
    public IEnumerable<string> Files => Trees.Select(tree => tree.FilePath);

    private IEnumerable<SyntaxTree> Trees => compilation.SyntaxTrees.Where(tree => tree.FilePath.Length > 0);

    /// <summary>The namespaces a file declares types in.</summary>
    public IEnumerable<string> NamespacesOf(string file) =>
        Trees
            .Single(tree => tree.FilePath == file)
            .GetRoot()
            .DescendantNodes()
            .OfType<BaseNamespaceDeclarationSyntax>()
            .Select(declared => declared.Name.ToString());

    /// <summary>Every use of a type, or of a member of a type, that another file of the project declares.</summary>
    public IReadOnlyCollection<FileReference> References()
    {
        var found = new HashSet<FileReference>();
        foreach (var tree in Trees)
        {
            var model = compilation.GetSemanticModel(tree);
            foreach (var name in tree.GetRoot().DescendantNodes().OfType<SimpleNameSyntax>())
            {
                var symbol = model.GetSymbolInfo(name).Symbol;
                var type = symbol as INamedTypeSymbol ?? symbol?.ContainingType;
                foreach (var declared in type?.DeclaringSyntaxReferences ?? [])
                    if (declared.SyntaxTree.FilePath is { Length: > 0 } to && to != tree.FilePath)
                        found.Add(new(tree.FilePath, to));
            }
        }
        return found;
    }
}
