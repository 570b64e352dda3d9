using System.Collections.Frozen;
using System.Text.Json;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// The usual standard deviation of a measurement at a pit (usual-deviations.json), with its unit, mark and source. A
/// deviation given with the measurement itself takes its place.
/// </summary>
public sealed record UsualDeviation(string Name, double Value, string Unit, string Mark, string Source)
{
    public static FrozenDictionary<string, UsualDeviation> All { get; } = Read();

    /// <summary>Where the deviation is known from, as statements print it.</summary>
    public string KnownFrom => $"{Mark}: {Source}";

    private static FrozenDictionary<string, UsualDeviation> Read()
    {
        var type = typeof(UsualDeviation);
        using var file = type.Assembly.GetManifestResourceStream($"{type.Namespace}.usual-deviations.json")!;
        using var whole = JsonDocument.Parse(file);
        return whole
            .RootElement.GetProperty("deviations")
            .Deserialize<UsualDeviation[]>(JsonSerializerOptions.Web)!
            .ToFrozenDictionary(deviation => deviation.Name);
    }
}
