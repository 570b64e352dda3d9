using System.Collections.Immutable;
using System.Reflection;
using NutrientLedger.Json;

namespace NutrientLedger.Agronomy.Factors.Files;

/// <summary>The factor sets that come with the hub. Each is a data file in the folder Sets.</summary>
public static class PublishedSets
{
    /// <summary>All sets, by id.</summary>
    public static ImmutableArray<FactorSet> All { get; } = Load();

    public static FactorSet? Find(string id) => All.FirstOrDefault(set => set.Id == id);

    private static ImmutableArray<FactorSet> Load()
    {
        var assembly = typeof(PublishedSets).Assembly;
        return
        [
            .. assembly
                .GetManifestResourceNames()
                .Where(name => name.EndsWith(".json", StringComparison.Ordinal) && name.Contains(".Factors.Sets."))
                .Select(name => Read(assembly, name))
                .OrderBy(set => set.Id, StringComparer.Ordinal),
        ];
    }

    private static FactorSet Read(Assembly assembly, string name)
    {
        using var stream = assembly.GetManifestResourceStream(name)!;
        var bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        var reading = FactorSetFile.Read(name, bytes);
        return reading.Set
            ?? throw new InvalidOperationException(
                string.Join(
                    '\n',
                    reading.Problems.Select(fault => $"{FileProblem.PlaceOf(fault.File, fault.Line)}: {fault.Problem}")
                )
            );
    }
}
