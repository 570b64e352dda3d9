using System.Collections.Immutable;
using System.Text.Json;

namespace NutrientLedger.Agronomy.Sampling;

/// <summary>
/// The usual range of a value of liquid manure (usual-limits.json), in the unit named there. Either end may be open. A
/// value outside is not impossible, but worth a check. The mark says where the limit is known from.
/// </summary>
public sealed record UsualLimit(string Of, string Unit, decimal? Min, decimal? Max, string Mark)
{
    public static ImmutableArray<UsualLimit> All { get; } = Read();

    private static ImmutableArray<UsualLimit> Read()
    {
        var type = typeof(UsualLimit);
        using var file = type.Assembly.GetManifestResourceStream($"{type.Namespace}.usual-limits.json")!;
        using var whole = JsonDocument.Parse(file);
        return [.. whole.RootElement.GetProperty("limits").Deserialize<UsualLimit[]>(JsonSerializerOptions.Web)!];
    }
}
