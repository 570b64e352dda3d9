using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;

namespace NutrientLedger.Architecture.Tests;

/// <summary>
/// A type that no other project uses is internal. Agronomy is exempt, because its surface will be a package.
/// </summary>
public class InternalTypesTests
{
    private static readonly Assembly[] Projects =
    [
        .. ProjectsTests.Names.Select(project => Assembly.Load($"NutrientLedger.{project}")),
    ];

    [Fact]
    public void A_public_type_is_used_by_another_project_or_shown_by_one_that_is()
    {
        var open = new Queue<Type>(Projects.SelectMany(UsedByOthers));
        var used = new HashSet<Type>();
        while (open.TryDequeue(out var type))
            if (used.Add(type))
                foreach (var shown in ShownBy(type))
                    open.Enqueue(shown);

        var unused = Projects
            .Where(project => project.GetName().Name != "NutrientLedger.Agronomy")
            .SelectMany(project => project.GetExportedTypes())
            .Where(type => type is { IsNested: false, Namespace: not null } && !used.Contains(type))
            .Select(type => type.FullName);

        Assert.True(!unused.Any(), $"Make internal what no other project uses: {string.Join(", ", unused)}");
    }

    /// <summary>
    /// The types of other projects that an assembly's metadata refers to. A constant leaves no trace there, so a type
    /// of which only constants are used counts when its name occurs in the source.
    /// </summary>
    private static IEnumerable<Type> UsedByOthers(Assembly user)
    {
        using var file = new PEReader(File.OpenRead(user.Location));
        var metadata = file.GetMetadataReader();
        var names = metadata
            .TypeReferences.Select(handle => metadata.GetTypeReference(handle))
            .Select(type => (metadata.GetString(type.Namespace), metadata.GetString(type.Name)))
            .ToHashSet();
        var source = new Lazy<string>(() =>
            string.Concat(
                Repository
                    .Files("*.cs")
                    .Where(path => path.StartsWith($"src/{user.GetName().Name}/", StringComparison.Ordinal))
                    .Select(path => File.ReadAllText(Path.Combine(Repository.Root, path)))
            )
        );
        return Projects
            .Where(project => project != user)
            .SelectMany(project => project.GetExportedTypes())
            .Where(type =>
                names.Contains((type.Namespace ?? "", type.Name))
                || (HasConstants(type) && source.Value.Contains($"{type.Name}.", StringComparison.Ordinal))
            );
    }

    private static bool HasConstants(Type type) =>
        type.IsEnum || type.GetFields(BindingFlags.Public | BindingFlags.Static).Any(field => field.IsLiteral);

    /// <summary>What a type shows in its public and protected members, its bases and its constraints.</summary>
    private static IEnumerable<Type> ShownBy(Type type)
    {
        const BindingFlags all =
            BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.Instance | BindingFlags.Static;
        var methods = type.GetMethods(all)
            .Where(method => method.IsPublic || method.IsFamily || method.IsFamilyOrAssembly);
        var shown = new List<Type?> { type.BaseType, type.DeclaringType };
        shown.AddRange(type.GetInterfaces());
        shown.AddRange(type.GetNestedTypes());
        shown.AddRange(
            type.GetFields(all).Where(field => field.IsPublic || field.IsFamily).Select(field => field.FieldType)
        );
        shown.AddRange(
            type.GetConstructors().SelectMany(made => made.GetParameters()).Select(given => given.ParameterType)
        );
        foreach (var method in methods)
        {
            shown.Add(method.ReturnType);
            shown.AddRange(method.GetParameters().Select(given => given.ParameterType));
            shown.AddRange(
                method.GetGenericArguments().SelectMany(argument => argument.GetGenericParameterConstraints())
            );
        }
        if (type.IsGenericTypeDefinition)
            shown.AddRange(
                type.GetGenericArguments().SelectMany(argument => argument.GetGenericParameterConstraints())
            );
        return shown.OfType<Type>().SelectMany(Parts);
    }

    /// <summary>
    /// The definitions in a type: of an array its element, of a generic type itself and its arguments.
    /// </summary>
    private static IEnumerable<Type> Parts(Type type) =>
        type.HasElementType ? Parts(type.GetElementType()!)
        : type.IsGenericParameter ? []
        : type.IsGenericType ? type.GetGenericArguments().SelectMany(Parts).Prepend(type.GetGenericTypeDefinition())
        : [type];
}
