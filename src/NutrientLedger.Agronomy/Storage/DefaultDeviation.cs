using System.Collections.Frozen;
using System.Text.Json;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// The default standard deviation of a measurement at a pit (default-deviations.json), with its unit, mark and source.
/// A deviation given with the measurement itself takes its place.
/// </summary>
public sealed record DefaultDeviation(string Name, double Value, string Unit, string Mark, string Source)
{
    public static FrozenDictionary<string, DefaultDeviation> All { get; } = Read();

    /// <summary>Where the deviation is known from, as statements print it.</summary>
    public string KnownFrom => $"{Mark}: {Source}";

    private static FrozenDictionary<string, DefaultDeviation> Read()
    {
        var type = typeof(DefaultDeviation);
        using var file = type.Assembly.GetManifestResourceStream($"{type.Namespace}.default-deviations.json")!;
        using var whole = JsonDocument.Parse(file);
        return whole
            .RootElement.GetProperty("deviations")
            .Deserialize<DefaultDeviation[]>(JsonSerializerOptions.Web)!
            .ToFrozenDictionary(deviation => deviation.Name);
    }
}
