using System.Collections.Frozen;
using System.Text.Json;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// One standard deviation that measurements at a pit usually have (usual-deviations.json), with its unit, mark and source; one
/// stated with the measurement itself stands instead.
/// </summary>
public sealed record UsualDeviation(string Name, double Value, string Unit, string Mark, string Source)
{
    public static FrozenDictionary<string, UsualDeviation> All { get; } = Read();

    /// <summary>Where it is known from, as statements print it.</summary>
    public string KnownFrom => $"{Mark}: {Source}";

    private static FrozenDictionary<string, UsualDeviation> Read()
    {
        var type = typeof(UsualDeviation);
        using var file = type.Assembly.GetManifestResourceStream($"{type.Namespace}.usual-deviations.json")!;
        using var whole = JsonDocument.Parse(file);
        return whole
            .RootElement.GetProperty("deviations")
            .Deserialize<UsualDeviation[]>(JsonSerializerOptions.Web)!
            .ToFrozenDictionary(figure => figure.Name);
    }
}
