using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace NutrientLedger.Agronomy.Emission;

/// <summary>The published parameter sets, read from the data files beside this one.</summary>
public static class EmissionSets
{
    private static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
        RespectNullableAnnotations = true,
        RespectRequiredConstructorParameters = true,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower, allowIntegerValues: false) },
    };

    /// <summary>Parameter set 1 (2019).</summary>
    public static EmissionSet Of2019 { get; } = Read("two-pool-2019");

    /// <summary>Parameter set 2 (2021).</summary>
    public static EmissionSet Of2021 { get; } = Read("two-pool-2021");

    public static ImmutableArray<EmissionSet> All { get; } = [Of2019, Of2021];

    private static EmissionSet Read(string id)
    {
        using var stream = typeof(EmissionSets).Assembly.GetManifestResourceStream(
            $"NutrientLedger.Agronomy.Emission.{id}.json"
        )!;
        return JsonSerializer.Deserialize<EmissionSet>(stream, Options)!;
    }
}
