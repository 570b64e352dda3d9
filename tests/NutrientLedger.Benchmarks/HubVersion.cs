using System.Diagnostics;
using System.Reflection;
using System.Runtime.Loader;
using System.Text;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// A version of the hub, by the path of its NutrientLedger.Hub.dll. Commands run inside this process with that
/// version's own assemblies, because hundreds of farms are imported and a process takes a second to start.
/// </summary>
internal sealed class HubVersion
{
    private const string Own = "NutrientLedger.Hub.dll";

    private readonly StringBuilder output = new();
    private readonly Lazy<MethodInfo> main;

    private HubVersion(string program, string name)
    {
        (Program, Name) = (program, name);
        main = new(() => new Assemblies(program).LoadFromAssemblyPath(program).EntryPoint!);
    }

    public string Program { get; }

    /// <summary>"this", or the revision that the other version was built from.</summary>
    public string Name { get; }

    /// <summary>The other versions, then this one.</summary>
    public static IReadOnlyList<HubVersion> All(IEnumerable<string> otherHubs) =>
        [
            .. otherHubs.Select(path => new HubVersion(Path.GetFullPath(path), Revision(path))),
            new(Path.Combine(AppContext.BaseDirectory, Own), "this"),
        ];

    /// <summary>Runs a command to its end. Only one command of all versions may run at a time.</summary>
    /// <exception cref="InvalidOperationException">The command failed; the message is its output.</exception>
    public async Task RunAsync(params string[] command)
    {
        var console = Console.Out;
        output.Clear();
        // A version keeps the writer that it finds at its first command, so all writers share their text.
        Console.SetOut(new StringWriter(output));
        try
        {
            if (await Task.Run(() => (int)main.Value.Invoke(null, [command])!) != 0)
                throw new InvalidOperationException($"{Program} {string.Join(' ', command)}: {output}");
        }
        finally
        {
            Console.SetOut(console);
        }
    }

    private static string Revision(string path) =>
        FileVersionInfo.GetVersionInfo(path).ProductVersion?.Split('+') is [_, { Length: >= 7 } revision]
            ? revision[..7]
            : path;

    /// <summary>Finds assemblies beside the program, and those of .NET itself in this process.</summary>
    private sealed class Assemblies(string program) : AssemblyLoadContext(program)
    {
        private readonly AssemblyDependencyResolver resolver = new(program);

        protected override Assembly? Load(AssemblyName name) =>
            resolver.ResolveAssemblyToPath(name) is { } path ? LoadFromAssemblyPath(path) : null;
    }
}
