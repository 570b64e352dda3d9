using System.Collections.Immutable;
using System.Text.Json;

namespace NutrientLedger.Agronomy.Sampling;

/// <summary>
/// The default range of a value of liquid manure (default-limits.json), in the unit named there. Either end may be
/// open. A value outside is not impossible, but worth a check. The mark says where the limit is known from.
/// </summary>
public sealed record DefaultLimit(string Of, string Unit, decimal? Min, decimal? Max, string Mark)
{
    public static ImmutableArray<DefaultLimit> All { get; } = Read();

    private static ImmutableArray<DefaultLimit> Read()
    {
        var type = typeof(DefaultLimit);
        using var file = type.Assembly.GetManifestResourceStream($"{type.Namespace}.default-limits.json")!;
        using var whole = JsonDocument.Parse(file);
        return [.. whole.RootElement.GetProperty("limits").Deserialize<DefaultLimit[]>(JsonSerializerOptions.Web)!];
    }
}
